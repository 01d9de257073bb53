use std::io::Cursor;

use colour::{Alpha, BitDepth, ColourModel, Damage, RasterFormat, Samples};
use inkfathom_intake::{IntakeError, Limits, Opening, Picture, Rows, open, open_as};

/// A picture with all its rows.
pub(crate) struct Whole {
    pub(crate) picture: Picture,
    /// Samples of either depth, as numbers.
    pub(crate) samples: Vec<u16>,
    pub(crate) damage: Vec<Damage>,
}

pub(crate) fn open_bytes(bytes: &[u8]) -> Result<Picture, IntakeError> {
    open(Cursor::new(bytes.to_vec()), &Limits::default())
}

/// Opens a file and reads every row of it.
pub(crate) fn read(bytes: &[u8]) -> Result<Whole, IntakeError> {
    read_within(bytes, &Limits::default())
}

pub(crate) fn read_within(bytes: &[u8], limits: &Limits) -> Result<Whole, IntakeError> {
    let mut picture = open(Cursor::new(bytes.to_vec()), limits)?;
    let samples = drain(&mut picture.rows)?;
    let damage = picture.rows.damage().to_vec();
    Ok(Whole { picture, samples, damage })
}

/// Opens a file with choices and reads every row that it gives.
pub(crate) fn read_as(bytes: &[u8], opening: &Opening) -> Result<Whole, IntakeError> {
    let mut picture = open_as(Cursor::new(bytes.to_vec()), &Limits::default(), opening)?;
    let samples = drain_some(&mut picture.rows)?;
    let damage = picture.rows.damage().to_vec();
    Ok(Whole { picture, samples, damage })
}

/// Reads all rows; checks that the bands are what [`RasterFormat`] promises.
pub(crate) fn drain(rows: &mut Rows) -> Result<Vec<u16>, IntakeError> {
    let samples = drain_some(rows)?;
    let format = rows.format();
    assert_eq!(samples.len(), format.height as usize * format.samples_per_row());
    Ok(samples)
}

/// Reads the rows that there are; checks that the bands follow one another.
fn drain_some(rows: &mut Rows) -> Result<Vec<u16>, IntakeError> {
    let format = rows.format();
    let mut samples = Vec::new();
    let mut next_row = 0;
    while let Some(band) = rows.next_band()? {
        assert_eq!(band.first_row, next_row);
        next_row += band.rows;
        let before = samples.len();
        match (band.samples, format.depth) {
            (Samples::Eight(bytes), BitDepth::Eight) => {
                samples.extend(bytes.into_iter().map(u16::from));
            }
            (Samples::Sixteen(words), BitDepth::Sixteen) => samples.extend(words),
            _ => panic!("a band has the wrong depth"),
        }
        let expected = band.rows as usize * format.samples_per_row();
        assert_eq!(samples.len() - before, expected);
    }
    assert!(rows.next_band()?.is_none(), "there is an end");
    Ok(samples)
}

pub(crate) fn raster(
    (width, height): (u32, u32),
    model: ColourModel,
    depth: BitDepth,
    alpha: Alpha,
) -> RasterFormat {
    RasterFormat { width, height, model, depth, alpha }
}

/// Invented samples below `levels`, different in every sample and without a period that a
/// row, tile or plane could hide behind.
pub(crate) fn invented(count: usize, levels: u32) -> Vec<u16> {
    let mut state = 0x9e37_79b9_u32;
    (0..count)
        .map(|_| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            u16::try_from((state >> 8) % levels).unwrap()
        })
        .collect()
}

/// Exif data with orientation and resolution, as its own little TIFF structure.
pub(crate) fn exif(orientation: u16, dots_per_inch: u32) -> Vec<u8> {
    let mut block = b"MM\0*\0\0\0\x08\0\x04".to_vec();
    let mut entry = |tag: u16, kind: u16, value: u32| {
        block.extend(tag.to_be_bytes());
        block.extend(kind.to_be_bytes());
        block.extend(1_u32.to_be_bytes());
        block.extend(value.to_be_bytes());
    };
    entry(0x0112, 3, u32::from(orientation) << 16);
    entry(0x011a, 5, 62);
    entry(0x011b, 5, 62);
    entry(0x0128, 3, 2 << 16);
    block.extend(0_u32.to_be_bytes());
    block.extend(dots_per_inch.to_be_bytes());
    block.extend(1_u32.to_be_bytes());
    block
}

/// The name of an error's variant.
pub(crate) fn variant(error: &IntakeError) -> &'static str {
    match error {
        IntakeError::Empty => "Empty",
        IntakeError::NotAnImage { .. } => "NotAnImage",
        IntakeError::Truncated { .. } => "Truncated",
        IntakeError::Corrupt { .. } => "Corrupt",
        IntakeError::Implausible { .. } => "Implausible",
        IntakeError::NoSuchPage { .. } => "NoSuchPage",
        IntakeError::Unsupported { .. } => "Unsupported",
        IntakeError::TooLarge { .. } => "TooLarge",
        IntakeError::Io { .. } => "Io",
    }
}
