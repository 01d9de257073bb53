//! TIFF 6.0 and its 64-bit form, read by our own code: directories through
//! [`TagReader`](crate::tags::TagReader), strips and tiles as streams, so that a picture stored
//! in one strip takes no more memory than its rows.

mod chunks;
mod codec;
mod division;
mod fax;
mod fields;
mod layout;
mod meaning;
mod pages;
mod reading;
mod rows;
mod samples;
mod unpacking;
mod wide_samples;
mod ycbcr;

use crate::bytes::Original;
use crate::exif::per_inch;
use crate::picture::orientation;
use crate::resolution::believe;
use crate::tags::{Directory, TagReader};
use crate::{
    FileFormat, IntakeError, Limits, Notice, Opening, Picture, Resolution, ResolutionSource,
    resolution,
};

use layout::Layout;
use pages::Pages;
use rows::TiffRows;

/// Tags of TIFF 6.0, section 8, and of ICC.1:2022, annex B.
mod tag {
    pub(super) const NEW_SUBFILE_TYPE: u16 = 254;
    pub(super) const SUBFILE_TYPE: u16 = 255;
    pub(super) const ORIENTATION: u16 = 274;
    pub(super) const X_RESOLUTION: u16 = 282;
    pub(super) const Y_RESOLUTION: u16 = 283;
    pub(super) const RESOLUTION_UNIT: u16 = 296;
    pub(super) const ICC_PROFILE: u16 = 34675;
}

type FileTags<'original> = TagReader<&'original mut Original>;

pub(crate) fn open(
    mut original: Original,
    limits: &Limits,
    opening: &Opening,
) -> Result<Picture, IntakeError> {
    let length = original.length();
    let (mut tags, first) = TagReader::open(&mut original, length)?;
    let pages = Pages::find(&mut tags, first, opening.page)?;
    let further = pages.notice(opening.page.get());
    let directory = pages.wanted;
    refuse_preview(&mut tags, &directory)?;
    let layout = Layout::read(&mut tags, &directory, limits, opening.accept_damaged)?;
    if !opening.accept_damaged {
        tags.check_extent(&directory)?;
    }
    layout.check_held(limits)?;

    let mut notices = layout.notices();
    notices.extend(further);
    let upright = tags.first(&directory, tag::ORIENTATION)?;
    let stated = stated_resolution(&mut tags, &directory)?;
    let profile = profile(&mut tags, &directory, limits)?;
    notices.extend(layout.colour_notice(profile.is_some()));
    Ok(Picture {
        file_format: FileFormat::Tiff,
        format: layout.format,
        orientation: orientation(upright, &mut notices),
        resolution: resolution::choose(stated, &mut notices),
        pages: pages.count,
        profile,
        notices,
        content_hash: original.content_hash()?,
        rows: Box::new(TiffRows::new(layout, original)),
    })
}

/// Camera raw files are TIFF files whose first directory is a thumbnail: reading that would be
/// wrong in silence.
fn refuse_preview(tags: &mut FileTags<'_>, directory: &Directory) -> Result<(), IntakeError> {
    let new_kind = tags.first(directory, tag::NEW_SUBFILE_TYPE)?;
    let old_kind = tags.first(directory, tag::SUBFILE_TYPE)?;
    if new_kind.is_some_and(|kind| kind & 1 == 1) || old_kind == Some(2) {
        return Err(IntakeError::unsupported(
            "a TIFF file whose first picture is a preview, as in camera raw files,",
            "develop the picture and export it as TIFF, PNG or JPEG",
        ));
    }
    Ok(())
}

fn stated_resolution(
    tags: &mut FileTags<'_>,
    directory: &Directory,
) -> Result<Option<Result<Resolution, Notice>>, IntakeError> {
    let across = tags.fraction(directory, tag::X_RESOLUTION)?;
    let along = tags.fraction(directory, tag::Y_RESOLUTION)?;
    let unit = tags.first(directory, tag::RESOLUTION_UNIT)?;
    Ok(per_inch(across, along, unit)
        .map(|(across, along)| believe(ResolutionSource::TiffTags, across, along)))
}

fn profile(
    tags: &mut FileTags<'_>,
    directory: &Directory,
    limits: &Limits,
) -> Result<Option<Vec<u8>>, IntakeError> {
    let bytes = directory.bytes_of(tag::ICC_PROFILE).unwrap_or(0);
    limits.check_profile(bytes)?;
    tags.raw(directory, tag::ICC_PROFILE, bytes)
}
