use crate::resolution::believe;
use crate::{FileFormat, Notice, Resolution, ResolutionSource};

/// What a walk over the blocks of a file finds, without decoding anything.
#[derive(Default)]
pub(super) struct Outline {
    /// The file reaches the end that it states.
    pub(super) complete: bool,
    /// Bytes of pixels that the header asks for, where they are stored in full.
    pub(super) stored_bytes: u64,
    pub(super) density: Option<Result<Resolution, Notice>>,
    /// Place after the last byte that belongs to the picture.
    end: u64,
    further: bool,
}

impl Outline {
    pub(super) fn read(format: FileFormat, file: &[u8]) -> Self {
        let read = match format {
            FileFormat::Gif => gif(file),
            FileFormat::Bmp => bmp(file),
            _ => webp(file),
        };
        read.unwrap_or_default()
    }

    pub(super) fn notices(&self, format: FileFormat, file_bytes: u64) -> Vec<Notice> {
        let trailing = if self.complete { file_bytes.saturating_sub(self.end) } else { 0 };
        let notice = Notice::TrailingBytes { format, bytes: trailing };
        let further = Notice::FurtherPictures { page: 1, pages: None };
        let trailing = (trailing > 0).then_some(notice);
        trailing.into_iter().chain(self.further.then_some(further)).collect()
    }
}

fn little_16(file: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_le_bytes(*file.get(at..)?.first_chunk()?))
}

fn little_32(file: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_le_bytes(*file.get(at..)?.first_chunk()?))
}

/// The RIFF container states its length (RFC 9649, 2.4); an animation has an ANIM chunk.
fn webp(file: &[u8]) -> Option<Outline> {
    let end = u64::from(little_32(file, 4)?) + 8;
    let mut at = 12;
    let mut further = false;
    while let (Some(name), Some(size)) = (file.get(at..at + 4), little_32(file, at + 4)) {
        further |= name == b"ANIM";
        at = at.saturating_add(8).saturating_add(size as usize).saturating_add(size as usize & 1);
    }
    let complete = end <= file.len() as u64 && at as u64 >= end.min(file.len() as u64);
    Some(Outline { complete, end, further, ..Outline::default() })
}

/// Blocks up to the trailer (GIF 89a, sections 15 to 27).
fn gif(file: &[u8]) -> Option<Outline> {
    let mut at = 13 + colour_table(*file.get(10)?);
    let mut pictures = 0;
    let complete = loop {
        let Some(kind) = file.get(at) else {
            break false;
        };
        match kind {
            0x3b => break true,
            0x2c => {
                pictures += 1;
                let Some(packed) = file.get(at + 9) else {
                    break false;
                };
                // After the descriptor and its table stands the size of the first codes.
                at += 10 + colour_table(*packed) + 1;
            }
            0x21 => at += 2,
            _ => break false,
        }
        let Some(after) = after_sub_blocks(file, at) else {
            break false;
        };
        at = after;
    };
    Some(Outline { complete, end: at as u64 + 1, further: pictures > 1, ..Outline::default() })
}

/// Bytes of the colour table that a packed field announces.
const fn colour_table(packed: u8) -> usize {
    if packed & 0x80 == 0 { 0 } else { 3 << ((packed & 7) + 1) }
}

fn after_sub_blocks(file: &[u8], mut at: usize) -> Option<usize> {
    loop {
        let length = usize::from(*file.get(at)?);
        at += 1 + length;
        if length == 0 {
            return Some(at);
        }
    }
}

/// Pixels per metre, and rows of whole words where nothing is compressed (BITMAPINFOHEADER).
fn bmp(file: &[u8]) -> Option<Outline> {
    let (start, header) = (little_32(file, 10)?, little_32(file, 14)?);
    let short = header == 12;
    let (width, height, bits) = if short {
        let sides = (little_16(file, 18)?.into(), little_16(file, 20)?.into());
        (sides.0, sides.1, u64::from(little_16(file, 24)?))
    } else {
        let sides = (little_32(file, 18)?, little_32(file, 22)?);
        // A negative height means rows from the top.
        let height = sides.1.cast_signed().unsigned_abs();
        (u64::from(sides.0), u64::from(height), u64::from(little_16(file, 28)?))
    };
    let compression = if short { 0 } else { little_32(file, 30)? };
    let packed = matches!(compression, 1 | 2);
    let row = (width * bits).div_ceil(32) * 4;
    let stored_bytes = if packed { 0 } else { row.saturating_mul(height) };
    let end = u64::from(start).saturating_add(stored_bytes);
    let density = (!short).then(|| density(file)).flatten();
    // Packed pictures end with a code of their own; what the header says of the size is all else.
    let stated = u64::from(little_32(file, 2)?);
    let end = if packed { stated } else { end };
    let complete = end <= file.len() as u64;
    Some(Outline { complete, stored_bytes, density, end: end.max(stated), ..Outline::default() })
}

fn density(file: &[u8]) -> Option<Result<Resolution, Notice>> {
    let (across, along) = (little_32(file, 38)?, little_32(file, 42)?);
    let per_inch = |per_metre: u32| f64::from(per_metre) * 0.0254;
    (across > 0 && along > 0)
        .then(|| believe(ResolutionSource::BmpHeader, per_inch(across), per_inch(along)))
}
