//! PNG (3rd edition): a walk over the chunks tells whether the file is whole and what the
//! decoder passes over in silence; the rows come from the decoder.

mod header;
mod outline;
mod rows;

use crate::bands::row_bytes;
use crate::bytes::Original;
use crate::exif::ExifFacts;
use crate::picture::orientation;
use crate::{FileFormat, IntakeError, Limits, Notice, Opening, Picture, resolution};

use header::Header;
use outline::Outline;
use rows::PngRows;

pub(crate) fn open(
    mut original: Original,
    limits: &Limits,
    opening: &Opening,
) -> Result<Picture, IntakeError> {
    let outline = Outline::read(&mut original, limits)?;
    limits.check_size(FileFormat::Png, outline.width, outline.height)?;
    let header = Header::read(&mut original)?;
    if outline.is_complete() || !opening.accept_damaged {
        header.check_plausible(&outline, original.length())?;
    }

    let mut notices = outline.notices(original.length());
    if outline.interlaced {
        let bytes = row_bytes(&header.format) as u64 * u64::from(outline.height);
        limits.check_held(bytes, "save it without interlacing")?;
        notices.extend(Notice::held(bytes, "interlaced"));
    }
    let profile = outline.profile(limits, &mut notices)?;
    if profile.is_none() {
        notices.extend(header.colour_notice());
    }
    let exif = ExifFacts::read_or_notice(outline.exif.as_deref(), &mut notices);
    let stated = header.resolution.into_iter().chain(exif.resolution);
    Ok(Picture {
        file_format: FileFormat::Png,
        format: header.format,
        orientation: orientation(exif.orientation, &mut notices),
        resolution: resolution::choose(stated, &mut notices),
        pages: 1,
        profile,
        notices,
        content_hash: original.content_hash()?,
        rows: Box::new(PngRows::new(header.format, outline.interlaced, original)),
    })
}
