use std::io::Cursor;

use crate::resolution::believe;
use crate::tags::{Directory, TagReader};
use crate::{IntakeError, Notice, Resolution, ResolutionSource};

/// Tags of Exif 2.32, sections 4.6.3 to 4.6.7.
const ORIENTATION: u16 = 0x0112;
const X_RESOLUTION: u16 = 0x011a;
const Y_RESOLUTION: u16 = 0x011b;
const RESOLUTION_UNIT: u16 = 0x0128;
const EXIF_DIRECTORY: u16 = 0x8769;
const INTEROPERABILITY_DIRECTORY: u16 = 0xa005;
const INTEROPERABILITY_INDEX: u16 = 0x0001;

/// `InteroperabilityIndex` of pictures in the optional colour space of DCF 2.0, which is wider
/// than sRGB.
const OPTIONAL_COLOUR_SPACE: &[u8] = b"R03";

/// What Exif data states that matters for printing.
#[derive(Default)]
pub(crate) struct ExifFacts {
    pub(crate) orientation: Option<u64>,
    pub(crate) resolution: Option<Result<Resolution, Notice>>,
    /// The colours are in the optional colour space of DCF.
    pub(crate) optional_colour_space: bool,
}

type BlockReader<'block> = TagReader<Cursor<&'block [u8]>>;

impl ExifFacts {
    /// Reads a block of Exif data, from its byte-order mark on. An unreadable block leaves
    /// nothing but a notice.
    pub(crate) fn read_or_notice(block: Option<&[u8]>, notices: &mut Vec<Notice>) -> Self {
        block.map_or_else(Self::default, |block| {
            Self::read(block).unwrap_or_else(|_| {
                notices.push(Notice::ExifUnreadable);
                Self::default()
            })
        })
    }

    fn read(block: &[u8]) -> Result<Self, IntakeError> {
        let (mut reader, first) = TagReader::open(Cursor::new(block), block.len() as u64)?;
        let main = reader.directory(first)?;
        Ok(Self {
            orientation: reader.first(&main, ORIENTATION)?,
            resolution: resolution(&mut reader, &main)?,
            // A broken directory deep inside is no reason to lose the orientation.
            optional_colour_space: optional_colour_space(&mut reader, &main).unwrap_or(false),
        })
    }
}

fn resolution(
    reader: &mut BlockReader<'_>,
    main: &Directory,
) -> Result<Option<Result<Resolution, Notice>>, IntakeError> {
    let across = reader.fraction(main, X_RESOLUTION)?;
    let along = reader.fraction(main, Y_RESOLUTION)?;
    let unit = reader.first(main, RESOLUTION_UNIT)?;
    Ok(per_inch(across, along, unit)
        .map(|(across, along)| believe(ResolutionSource::Exif, across, along)))
}

/// Resolution tags in dots per inch; `None` if they state none. The unit is 2 for inches, which
/// is the default, and 3 for centimetres; TIFF has 1 for no unit.
pub(crate) fn per_inch(
    across: Option<f64>,
    along: Option<f64>,
    unit: Option<u64>,
) -> Option<(f64, f64)> {
    let units_per_inch = match unit.unwrap_or(2) {
        2 => 1.0,
        3 => 2.54,
        _ => return None,
    };
    Some((across? * units_per_inch, along? * units_per_inch))
}

fn optional_colour_space(
    reader: &mut BlockReader<'_>,
    main: &Directory,
) -> Result<bool, IntakeError> {
    let Some(place) = reader.first(main, EXIF_DIRECTORY)? else {
        return Ok(false);
    };
    let exif = reader.directory(place)?;
    let Some(place) = reader.first(&exif, INTEROPERABILITY_DIRECTORY)? else {
        return Ok(false);
    };
    let directory = reader.directory(place)?;
    let index = reader.raw(&directory, INTEROPERABILITY_INDEX, 16)?;
    Ok(index.is_some_and(|index| index.starts_with(OPTIONAL_COLOUR_SPACE)))
}
