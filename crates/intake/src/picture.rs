use colour::{Orientation, RasterFormat, RowSource};

use crate::bytes::{Bytes, Original};
use crate::file_format::{LONGEST_MARK, recognise};
use crate::tolerant::TolerantRows;
use crate::{
    ContentHash, FileFormat, IntakeError, Limits, Notice, Opening, Resolution, jpeg, pdf, png, pnm,
    svg, tiff, whole,
};

/// The rows of a picture, decoded while they are asked for.
pub type Rows = Box<dyn RowSource<Error = IntakeError>>;

/// An opened picture: everything its file states is read, nothing is decoded yet.
pub struct Picture {
    /// What the file is.
    pub file_format: FileFormat,
    /// Size and layout of the rows, before orientation.
    pub format: RasterFormat,
    /// How the rows are to be turned for viewing.
    pub orientation: Orientation,
    /// Pixels per inch, if the file states any that are believed.
    pub resolution: Option<Resolution>,
    /// Pages or pictures that the file holds, at least 1.
    pub pages: u32,
    /// The embedded ICC profile, not interpreted.
    pub profile: Option<Vec<u8>>,
    /// What the reader of a result should know.
    pub notices: Vec<Notice>,
    /// Hash of the whole file.
    pub content_hash: ContentHash,
    /// The pixels.
    pub rows: Rows,
}

/// Opens an image file: tells its format from its content, reads what it states, and checks
/// that against the limits and against what so many bytes can hold.
///
/// # Errors
///
/// Every [`IntakeError`]. A file that is cut short may be refused only while its rows are read.
pub fn open(bytes: impl Bytes + 'static, limits: &Limits) -> Result<Picture, IntakeError> {
    open_as(bytes, limits, &Opening::default())
}

/// Opens an image file as [`open`] does, with choices of the caller.
///
/// # Errors
///
/// Every [`IntakeError`], `NoSuchPage` among them. With [`Opening::accept_damaged`] a file that is
/// cut short or damaged behind its description is read as far as it goes; what is missing is told
/// by [`RowSource::damage`].
pub fn open_as(
    bytes: impl Bytes + 'static,
    limits: &Limits,
    opening: &Opening,
) -> Result<Picture, IntakeError> {
    let mut original = Original::new(bytes)?;
    let start = original.first_bytes(LONGEST_MARK)?;
    let format = recognise(&start)?;
    let mut picture = match format {
        FileFormat::Jpeg => jpeg::open(original, limits, opening),
        FileFormat::Png => png::open(original, limits, opening),
        FileFormat::Tiff => tiff::open(original, limits, opening),
        FileFormat::WebP | FileFormat::Gif | FileFormat::Bmp => {
            whole::open(format, original, limits, opening)
        }
        FileFormat::Pnm => pnm::open(original, limits, opening),
        FileFormat::Svg => svg::open(original, limits, opening),
        FileFormat::Pdf => pdf::open(original, limits, opening),
    }?;
    if opening.page.get() > picture.pages {
        let (page, pages) = (opening.page.get(), picture.pages);
        return Err(IntakeError::NoSuchPage { format, page, pages });
    }
    if opening.accept_damaged {
        picture.rows = Box::new(TolerantRows::new(picture.rows));
    }
    Ok(picture)
}

/// The orientation of a tag that may be absent or wrong.
pub(crate) fn orientation(tag: Option<u64>, notices: &mut Vec<Notice>) -> Orientation {
    let Some(tag) = tag else {
        return Orientation::Upright;
    };
    let known = u16::try_from(tag).ok().and_then(Orientation::from_tag);
    known.unwrap_or_else(|| {
        notices.push(Notice::OrientationUnknown { tag });
        Orientation::Upright
    })
}
