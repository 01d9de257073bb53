use std::borrow::Cow;

use colour::{BitDepth, Orientation};
use units::DotsPerInch;

use crate::byte_reader::ByteReader;
use crate::cells::{Cell, MOST_CHANNELS};
use crate::census::check_pixels;
use crate::lattice::Lattice;
use crate::preview::MOST_PREVIEW_PIXELS;
use crate::sample::{byte_of, sample_of};
use crate::stored_header::{StoredHeader, damaged};
use crate::{Backdrop, CensusError, ColourCensus, Preview};

/// The first bytes of a stored census.
const MAGIC: &str = "INKFCENS";
/// The form of cells by rising key, and that of joined ones, which is the newest that is read. Both take
/// the place of forms 1 and 2, which no published version wrote.
const FORM: u32 = 3;
const JOINED_FORM: u32 = 4;
/// Bit of a key of the joined form: the cell begins a wide entry.
const BEGINS: u32 = 1 << 31;
/// Longest header in bytes: the texts in it are names, not documents.
const LONGEST_HEADER: usize = 1 << 16;

/// A census with all that later questions need, in the form that is kept on disk.
///
/// | section  | content                                                                |
/// |----------|------------------------------------------------------------------------|
/// | magic    | `INKFCENS`                                                             |
/// | form     | `u32`: 3, or 4 for joined cells                                        |
/// | header   | `u32` length, then JSON: where it comes from, lengths of what follows  |
/// | profile  | the embedded ICC profile, if the header announces one                  |
/// | cells    | keys `u32` (of joined cells, the highest bit marks the first of a wide entry), then pixels, then sums (one for each channel), both in the header's `number_bytes`: 4, or 8 where one needs them |
/// | preview  | samples in the header's `preview_bits`: 8 where all are whole steps of 8 bits, or 16 |
/// | checksum | BLAKE3 of all bytes before it, 32 bytes                                |
///
/// Numbers are little-endian. The round trip is exact to the last bit.
#[derive(Clone, Debug, PartialEq)]
pub struct StoredCensus {
    /// What the census was made from.
    pub origin: Origin,
    /// The embedded ICC profile, as found in the file.
    pub profile: Option<Vec<u8>>,
    /// The colours.
    pub census: ColourCensus,
    /// The picture made small, of the census's colour model.
    pub preview: Preview,
}

/// Bytes of the numbers of cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum NumberWidth {
    Four,
    Eight,
}

impl NumberWidth {
    /// The least that holds all numbers of some cells.
    pub(crate) fn of<'a>(mut cells: impl Iterator<Item = &'a Cell>) -> Self {
        let fits = |number: &u64| *number <= u64::from(u32::MAX);
        let are_small = |cell: &Cell| fits(&cell.pixels) && cell.sums.iter().all(fits);
        if cells.all(are_small) { Self::Four } else { Self::Eight }
    }
}

/// What a census was made from. Colour model and depth are the census's own.
#[derive(Clone, Debug, PartialEq)]
pub struct Origin {
    /// BLAKE3 hash of the file.
    pub content: [u8; 32],
    /// Name of the file format.
    pub file_format: String,
    /// Pixels in a row, before the orientation is applied.
    pub width: u32,
    /// Rows, before the orientation is applied.
    pub height: u32,
    /// How the rows were turned for the preview.
    pub orientation: Orientation,
    /// What the picture was laid on.
    pub backdrop: Backdrop,
    /// Pixels per inch, if the file states them.
    pub resolution: Option<Resolution>,
    /// Version of the program that took the census.
    pub program_version: String,
}

/// Pixels per inch of the stored rows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resolution {
    /// Along a row.
    pub across: DotsPerInch,
    /// From row to row.
    pub along: DotsPerInch,
}

impl StoredCensus {
    /// Writes the stored form.
    ///
    /// # Errors
    ///
    /// `Unstorable` when the parts don't belong together (pixels, preview, backdrop) or a text
    /// of the origin is too long: what is written can always be read back.
    pub fn to_bytes(&self) -> Result<Vec<u8>, CensusError> {
        self.check().map_err(unstorable)?;
        let header = StoredHeader::of(self);
        let json = serde_json::to_vec(&header).map_err(|error| unstorable(error.to_string()))?;
        let mut bytes = MAGIC.as_bytes().to_vec();
        let form = if self.census.begins().is_some() { JOINED_FORM } else { FORM };
        bytes.extend(form.to_le_bytes());
        bytes.extend(header_length(&json)?.to_le_bytes());
        bytes.extend(json);
        bytes.extend(self.profile.iter().flatten());
        self.write_cells(header.number_width()?, &mut bytes);
        self.write_preview(header.preview_depth()?, &mut bytes);
        let checksum = blake3::hash(&bytes);
        bytes.extend(checksum.as_bytes());
        Ok(bytes)
    }

    /// Reads the stored form.
    ///
    /// # Errors
    ///
    /// `Foreign` when the bytes are something else, `Newer` for a later form, `Damaged` when
    /// they have changed since they were written, or are of a form before the first published one.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, CensusError> {
        let rest =
            bytes.strip_prefix(MAGIC.as_bytes()).ok_or(CensusError::Foreign { magic: MAGIC })?;
        let mut reader = ByteReader::new(rest);
        let form = reader.number_32()?;
        check_form(form)?;
        check_checksum(bytes)?;
        let header = read_header(&mut reader)?;
        if header.joined != (form == JOINED_FORM) {
            return Err(damaged(format!("form {form} with cells of the other form")));
        }
        let stored = read_sections(&mut reader, header)?;
        if reader.remaining() != blake3::OUT_LEN {
            return Err(damaged("bytes behind the preview".to_owned()));
        }
        stored.check().map_err(damaged)?;
        Ok(stored)
    }

    fn write_cells(&self, width: NumberWidth, bytes: &mut Vec<u8>) {
        let channels = self.census.lattice().channels();
        let mut cells = Cow::Borrowed(self.census.cells());
        if self.census.begins().is_none() {
            cells.to_mut().sort_unstable_by_key(|(key, _)| *key);
        }
        let mut begins = self.census.begins().unwrap_or_default().iter();
        let mark = |begins: &bool| if *begins { BEGINS } else { 0 };
        let keys = cells.iter().map(|(key, _)| key | begins.next().map_or(0, mark));
        keys.for_each(|key| bytes.extend_from_slice(&key.to_le_bytes()));
        let pixels = cells.iter().map(|(_, cell)| cell.pixels);
        let sums = cells.iter().flat_map(|(_, cell)| &cell.sums[..channels]).copied();
        let numbers = pixels.chain(sums);
        match width {
            NumberWidth::Four => {
                // Each fits, or the width were eight.
                let words = numbers.map(|number| u32::try_from(number).unwrap_or(u32::MAX));
                words.for_each(|word| bytes.extend_from_slice(&word.to_le_bytes()));
            }
            NumberWidth::Eight => {
                numbers.for_each(|number| bytes.extend_from_slice(&number.to_le_bytes()));
            }
        }
    }

    fn write_preview(&self, depth: BitDepth, bytes: &mut Vec<u8>) {
        let samples = self.preview.samples.iter();
        match depth {
            BitDepth::Eight => bytes.extend(samples.map(|sample| byte_of(*sample))),
            BitDepth::Sixteen => {
                samples.for_each(|sample| bytes.extend_from_slice(&sample.to_le_bytes()));
            }
        }
    }

    /// Says what does not fit when the parts don't belong together.
    fn check(&self) -> Result<(), String> {
        let backdrop = self.origin.backdrop.samples::<u16>(self.census.model());
        backdrop.map_err(|error| error.to_string())?;
        self.check_rows()?;
        self.check_preview()
    }

    /// The census must hold whole rows of the picture; damaged rows may be missing.
    fn check_rows(&self) -> Result<(), String> {
        let (width, height) = (self.origin.width, self.origin.height);
        let pixels = self.census.pixels();
        let rows = pixels.checked_div(u64::from(width)).unwrap_or(0);
        if pixels > 0 && rows * u64::from(width) == pixels && rows <= u64::from(height) {
            return Ok(());
        }
        Err(format!("{pixels} pixels are not rows of a picture of {width} × {height}"))
    }

    fn check_preview(&self) -> Result<(), String> {
        let Preview { width, height, model, ref samples } = self.preview;
        let pixels = u64::from(width) * u64::from(height);
        let expected = pixels.saturating_mul(model.channels() as u64);
        let sized = (1..=MOST_PREVIEW_PIXELS).contains(&pixels);
        if model == self.census.model() && sized && samples.len() as u64 == expected {
            return Ok(());
        }
        let count = samples.len();
        Err(format!("a {model} preview of {width} × {height} with {count} samples"))
    }
}

const fn unstorable(detail: String) -> CensusError {
    CensusError::Unstorable { detail }
}

fn header_length(header: &[u8]) -> Result<u32, CensusError> {
    match u32::try_from(header.len()) {
        Ok(length) if header.len() <= LONGEST_HEADER => Ok(length),
        _ => Err(unstorable(format!(
            "its header takes {} bytes, above {LONGEST_HEADER}",
            header.len()
        ))),
    }
}

fn check_form(found: u32) -> Result<(), CensusError> {
    if found > JOINED_FORM {
        return Err(CensusError::Newer { found, newest: JOINED_FORM });
    }
    if found < FORM {
        let detail = format!("form {found} is of no published version; count the picture again");
        return Err(damaged(detail));
    }
    Ok(())
}

fn check_checksum(bytes: &[u8]) -> Result<(), CensusError> {
    let split = bytes.len().saturating_sub(blake3::OUT_LEN);
    let (content, checksum) = bytes.split_at(split);
    if blake3::hash(content).as_bytes() != checksum {
        return Err(damaged("the checksum does not match".to_owned()));
    }
    Ok(())
}

fn read_header(reader: &mut ByteReader) -> Result<StoredHeader, CensusError> {
    let length = reader.number_32()?;
    if length as usize > LONGEST_HEADER {
        return Err(damaged(format!("a header of {length} bytes")));
    }
    let header = reader.bytes(u64::from(length))?;
    serde_json::from_slice(header).map_err(|error| damaged(error.to_string()))
}

fn read_sections(
    reader: &mut ByteReader,
    header: StoredHeader,
) -> Result<StoredCensus, CensusError> {
    let lattice = header.lattice()?;
    let profile = header.profile_bytes.map(|length| reader.bytes(length));
    let profile = profile.transpose()?.map(<[u8]>::to_vec);
    let mut cells = read_cells(reader, lattice, header.cells, header.number_width()?)?;
    let census = if header.joined {
        let begins: Vec<bool> = cells.iter().map(|(key, _)| key & BEGINS != 0).collect();
        cells.iter_mut().for_each(|(key, _)| *key &= !BEGINS);
        check_joined_cells(lattice, header.unprinted, &cells)?;
        check_begins(lattice, &cells, &begins)?;
        ColourCensus::of_joined_cells(lattice, header.unprinted, cells, begins)
    } else {
        check_cells(lattice, header.unprinted, &cells)?;
        cells.sort_by_cached_key(|(key, _)| lattice.order(*key));
        ColourCensus::of_cells(lattice, header.unprinted, cells)
    };
    let preview = read_preview(reader, &header, lattice)?;
    Ok(StoredCensus { origin: header.into_origin()?, profile, census, preview })
}

fn read_cells(
    reader: &mut ByteReader,
    lattice: Lattice,
    count: u64,
    width: NumberWidth,
) -> Result<Vec<(u32, Cell)>, CensusError> {
    let channels = lattice.channels();
    let keys = reader.numbers(count, u32::from_le_bytes)?;
    let mut numbers = |count| match width {
        NumberWidth::Four => reader.numbers(count, |word| u64::from(u32::from_le_bytes(word))),
        NumberWidth::Eight => reader.numbers(count, u64::from_le_bytes),
    };
    let pixels = numbers(count)?;
    let sums = numbers(count.saturating_mul(channels as u64))?;
    let cells = pixels.into_iter().zip(sums.chunks_exact(channels));
    let cells = cells.map(|(pixels, sums)| {
        let mut cell = Cell { pixels, sums: [0; MOST_CHANNELS] };
        cell.sums[..channels].copy_from_slice(sums);
        cell
    });
    let cells: Vec<(u32, Cell)> = keys.into_iter().zip(cells).collect();
    if NumberWidth::of(cells.iter().map(|(_, cell)| cell)) != width {
        return Err(damaged("numbers of cells wider than they need be".to_owned()));
    }
    Ok(cells)
}

/// Refuses cells that no picture gives, so that later arithmetic on them can't overflow.
fn check_cells(lattice: Lattice, unprinted: u64, cells: &[(u32, Cell)]) -> Result<(), CensusError> {
    check_order(lattice, cells, |key| key)?;
    check_sum(unprinted, cells)?;
    match cells.iter().find(|(key, cell)| !holds(lattice, *key, cell)) {
        Some((key, _)) => Err(damaged(format!("cell {key} holds colours of another cell"))),
        None => Ok(()),
    }
}

/// The same of joined cells, whose order is that of their places and which lie in no cell of their own.
fn check_joined_cells(
    lattice: Lattice,
    unprinted: u64,
    cells: &[(u32, Cell)],
) -> Result<(), CensusError> {
    if !matches!(lattice, Lattice::Rgb(_)) {
        return Err(damaged(format!("joined cells of {lattice}")));
    }
    check_order(lattice, cells, |key| lattice.order(key))?;
    check_sum(unprinted, cells)?;
    let is_colour = |cell: &Cell| {
        let full = lattice.full_scale() * cell.pixels;
        cell.pixels > 0 && cell.sums[..lattice.channels()].iter().all(|sum| *sum <= full)
    };
    match cells.iter().find(|(_, cell)| !is_colour(cell)) {
        Some((key, _)) => Err(damaged(format!("joined cell {key} holds no colour"))),
        None => Ok(()),
    }
}

/// The first cell begins a wide entry, and white, which comes last, one of its own.
fn check_begins(
    lattice: Lattice,
    cells: &[(u32, Cell)],
    begins: &[bool],
) -> Result<(), CensusError> {
    let is_white = |(key, _): &(u32, Cell)| *key == lattice.white_key();
    let stands_apart = !cells.last().is_some_and(is_white) || begins.last() == Some(&true);
    if begins.first() != Some(&false) && stands_apart {
        return Ok(());
    }
    Err(damaged("the first cell or white begins no wide entry".to_owned()))
}

fn check_order(
    lattice: Lattice,
    cells: &[(u32, Cell)],
    place: impl Fn(u32) -> u32,
) -> Result<(), CensusError> {
    let known = cells.iter().all(|(key, _)| *key <= lattice.white_key());
    if known && cells.is_sorted_by(|one, other| place(one.0) < place(other.0)) {
        return Ok(());
    }
    Err(damaged("keys of cells are out of order".to_owned()))
}

fn check_sum(unprinted: u64, cells: &[(u32, Cell)]) -> Result<(), CensusError> {
    let add = |sum: u64, (_, cell): &(u32, Cell)| sum.saturating_add(cell.pixels);
    check_pixels(cells.iter().fold(unprinted, add))
}

/// Whether the mean of a cell lies within the cell; its pixels are at most 2^48.
fn holds(lattice: Lattice, key: u32, cell: &Cell) -> bool {
    let within = |channel: usize| {
        let (low, high) = lattice.bounds(key, channel);
        (low * cell.pixels..=high * cell.pixels).contains(&cell.sums[channel])
    };
    cell.pixels > 0 && (0..lattice.channels()).all(within)
}

fn read_preview(
    reader: &mut ByteReader,
    header: &StoredHeader,
    lattice: Lattice,
) -> Result<Preview, CensusError> {
    let (width, height) = (header.preview_width, header.preview_height);
    let pixels = u64::from(width) * u64::from(height);
    let count = pixels.saturating_mul(lattice.channels() as u64);
    let depth = header.preview_depth()?;
    let samples = match depth {
        BitDepth::Eight => reader.numbers(count, |[byte]| sample_of(byte))?,
        BitDepth::Sixteen => reader.numbers(count, u16::from_le_bytes)?,
    };
    let preview = Preview { width, height, model: lattice.model(), samples };
    if preview.depth() != depth {
        return Err(damaged("a preview of 8 bits in 16".to_owned()));
    }
    Ok(preview)
}
