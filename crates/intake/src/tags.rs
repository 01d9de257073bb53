use std::collections::BTreeMap;
use std::io::{self, Read, Seek, SeekFrom};

use crate::{FileFormat, IntakeError};

/// Order of the bytes of a number in a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum ByteOrder {
    /// `II`: the lowest byte first.
    Little,
    /// `MM`: the highest byte first.
    Big,
}

/// Most entries of a directory: all that 16-bit tags allow.
const MOST_ENTRIES: u64 = 1 << 16;

/// Reads the tag directories of TIFF 6.0, of its 64-bit form, and of Exif, which borrows them.
///
/// Faults are told in terms of TIFF; the reader of Exif makes a notice of them.
pub(crate) struct TagReader<R> {
    bytes: R,
    length: u64,
    order: ByteOrder,
    wide: bool,
}

/// One directory: tags and where their values stand.
pub(crate) struct Directory {
    entries: BTreeMap<u16, Entry>,
    /// Place of the next directory, 0 after the last.
    pub(crate) next: u64,
}

/// A tag's values: in place, or at an offset if they are too long for that.
#[derive(Clone)]
struct Entry {
    kind: u16,
    count: u64,
    slot: Vec<u8>,
}

impl<R: Read + Seek> TagReader<R> {
    /// Reads the header; also gives the place of the first directory.
    pub(crate) fn open(bytes: R, length: u64) -> Result<(Self, u64), IntakeError> {
        let mut reader = Self { bytes, length, order: ByteOrder::Little, wide: false };
        let mark = reader.at(0, 4)?;
        (reader.order, reader.wide) = match &mark[..] {
            b"II*\0" => (ByteOrder::Little, false),
            b"MM\0*" => (ByteOrder::Big, false),
            b"II+\0" => (ByteOrder::Little, true),
            b"MM\0+" => (ByteOrder::Big, true),
            _ => return Err(malformed("the header is not that of a TIFF structure")),
        };
        let first = if reader.wide { reader.number_at(8, 8)? } else { reader.number_at(4, 4)? };
        Ok((reader, first))
    }

    pub(crate) const fn order(&self) -> ByteOrder {
        self.order
    }

    /// Bytes of the whole structure.
    pub(crate) const fn length(&self) -> u64 {
        self.length
    }

    /// Reads the directory at a place.
    pub(crate) fn directory(&mut self, place: u64) -> Result<Directory, IntakeError> {
        let (count_width, entry_width, offset_width) = self.widths();
        let entries = self.number_at(place, count_width)?;
        if entries > MOST_ENTRIES {
            return Err(malformed(format!(
                "a directory of {entries} entries is stated, of {MOST_ENTRIES} that can exist"
            )));
        }
        let table_at = place + count_width;
        let table = self.at(table_at, entries * entry_width)?;
        let next = self.number_at(table_at + entries * entry_width, offset_width)?;
        let entry_width = usize::try_from(entry_width).unwrap_or(usize::MAX);
        let mut found = BTreeMap::new();
        for raw in table.chunks_exact(entry_width) {
            let (tag, entry) = self.entry(raw);
            found.entry(tag).or_insert(entry);
        }
        Ok(Directory { entries: found, next })
    }

    /// Bytes of a directory's count, of an entry, and of an offset.
    const fn widths(&self) -> (u64, u64, u64) {
        if self.wide { (8, 20, 8) } else { (2, 12, 4) }
    }

    /// Takes one entry apart; the tag comes first.
    fn entry(&self, raw: &[u8]) -> (u16, Entry) {
        let slot_at = if self.wide { 12 } else { 8 };
        let entry = Entry {
            kind: self.short(&raw[2..4]),
            count: self.number(&raw[4..slot_at]),
            slot: raw[slot_at..].to_vec(),
        };
        (self.short(&raw[..2]), entry)
    }

    /// Refuses a directory whose values or successor lie past the end of the file.
    pub(crate) fn check_extent(&self, directory: &Directory) -> Result<(), IntakeError> {
        let ends_inside = |entry: &Entry| {
            let Some(bytes) = entry.bytes() else {
                return true;
            };
            let in_place = bytes <= entry.slot.len() as u64;
            in_place || self.is_inside(self.number(&entry.slot), bytes)
        };
        if directory.next < self.length && directory.entries.values().all(ends_inside) {
            Ok(())
        } else {
            Err(cut())
        }
    }

    /// Whether so many bytes from `place` on are in the file.
    pub(crate) fn is_inside(&self, place: u64, bytes: u64) -> bool {
        place.checked_add(bytes).is_some_and(|end| end <= self.length)
    }

    /// The whole numbers of a tag, at most `most` of them; `None` if the tag is absent.
    pub(crate) fn numbers(
        &mut self,
        directory: &Directory,
        tag: u16,
        most: u64,
    ) -> Result<Option<Vec<u64>>, IntakeError> {
        let Some(entry) = directory.entries.get(&tag) else {
            return Ok(None);
        };
        let width = match entry.kind {
            1 => 1,
            3 => 2,
            4 | 13 => 4,
            16 | 18 => 8,
            kind => {
                return Err(malformed(format!(
                    "tag {tag} is of type {kind}, where a whole number is due"
                )));
            }
        };
        let bytes = self.value(entry, tag, most.saturating_mul(width as u64))?;
        Ok(Some(bytes.chunks_exact(width).map(|raw| self.number(raw)).collect()))
    }

    /// The first whole number of a tag.
    pub(crate) fn first(
        &mut self,
        directory: &Directory,
        tag: u16,
    ) -> Result<Option<u64>, IntakeError> {
        let numbers = self.numbers(directory, tag, MOST_ENTRIES)?;
        Ok(numbers.and_then(|numbers| numbers.first().copied()))
    }

    /// The first fraction of a tag; one over zero is infinite, zero over zero not a number.
    pub(crate) fn fraction(
        &mut self,
        directory: &Directory,
        tag: u16,
    ) -> Result<Option<f64>, IntakeError> {
        let Some(entry) = directory.entries.get(&tag) else {
            return Ok(None);
        };
        if entry.kind != 5 || entry.count == 0 {
            return Err(malformed(format!("tag {tag} is no fraction")));
        }
        let bytes = self.value(entry, tag, MOST_ENTRIES)?;
        Ok(Some(f64::from(self.long(&bytes[..4])) / f64::from(self.long(&bytes[4..8]))))
    }

    /// All fractions of a tag, at most `most` of them; `None` if the tag is absent.
    pub(crate) fn fractions(
        &mut self,
        directory: &Directory,
        tag: u16,
        most: u64,
    ) -> Result<Option<Vec<f64>>, IntakeError> {
        let Some(entry) = directory.entries.get(&tag) else {
            return Ok(None);
        };
        if entry.kind != 5 {
            return Err(malformed(format!("tag {tag} is no fraction")));
        }
        let bytes = self.value(entry, tag, most.saturating_mul(8))?;
        let fraction =
            |raw: &[u8]| f64::from(self.long(&raw[..4])) / f64::from(self.long(&raw[4..]));
        Ok(Some(bytes.chunks_exact(8).map(fraction).collect()))
    }

    /// The bytes of a tag, whatever its type.
    pub(crate) fn raw(
        &mut self,
        directory: &Directory,
        tag: u16,
        most: u64,
    ) -> Result<Option<Vec<u8>>, IntakeError> {
        let Some(entry) = directory.entries.get(&tag) else {
            return Ok(None);
        };
        self.value(entry, tag, most).map(Some)
    }

    fn value(&mut self, entry: &Entry, tag: u16, most: u64) -> Result<Vec<u8>, IntakeError> {
        let bytes = entry
            .bytes()
            .filter(|bytes| *bytes <= most)
            .ok_or_else(|| malformed(format!("tag {tag} states {} values", entry.count)))?;
        match usize::try_from(bytes) {
            Ok(length) if length <= entry.slot.len() => Ok(entry.slot[..length].to_vec()),
            _ => self.at(self.number(&entry.slot), bytes),
        }
    }

    /// So many bytes from a place on; nothing is allocated for bytes that the file lacks.
    fn at(&mut self, place: u64, bytes: u64) -> Result<Vec<u8>, IntakeError> {
        let length = usize::try_from(bytes).map_err(|_| cut())?;
        if !self.is_inside(place, bytes) {
            return Err(cut());
        }
        let mut value = vec![0; length];
        self.bytes
            .seek(SeekFrom::Start(place))
            .and_then(|_| self.bytes.read_exact(&mut value))
            .map_err(unread)?;
        Ok(value)
    }

    fn number_at(&mut self, place: u64, width: u64) -> Result<u64, IntakeError> {
        let raw = self.at(place, width)?;
        Ok(self.number(&raw))
    }

    /// A number of up to eight bytes.
    fn number(&self, raw: &[u8]) -> u64 {
        let append = |number: u64, byte: &u8| number << 8 | u64::from(*byte);
        match self.order {
            ByteOrder::Big => raw.iter().fold(0, append),
            ByteOrder::Little => raw.iter().rev().fold(0, append),
        }
    }

    fn long(&self, raw: &[u8]) -> u32 {
        u32::try_from(self.number(raw)).unwrap_or(u32::MAX)
    }

    fn short(&self, raw: &[u8]) -> u16 {
        u16::try_from(self.number(raw)).unwrap_or(u16::MAX)
    }
}

impl Directory {
    pub(crate) fn contains(&self, tag: u16) -> bool {
        self.entries.contains_key(&tag)
    }

    /// Bytes of a tag's value.
    pub(crate) fn bytes_of(&self, tag: u16) -> Option<u64> {
        self.entries.get(&tag)?.bytes()
    }
}

impl Entry {
    /// Bytes of all values; `None` for a type that TIFF 6.0 and its 64-bit form don't define,
    /// which a reader must skip, and for a count that no file can have.
    fn bytes(&self) -> Option<u64> {
        let width: u64 = match self.kind {
            1 | 2 | 6 | 7 => 1,
            3 | 8 => 2,
            4 | 9 | 11 | 13 => 4,
            5 | 10 | 12 | 16..=18 => 8,
            _ => return None,
        };
        self.count.checked_mul(width)
    }
}

fn malformed(detail: impl Into<String>) -> IntakeError {
    IntakeError::corrupt(FileFormat::Tiff, detail)
}

const fn cut() -> IntakeError {
    IntakeError::cut_in_header(FileFormat::Tiff)
}

fn unread(fault: io::Error) -> IntakeError {
    match fault.kind() {
        io::ErrorKind::UnexpectedEof => cut(),
        _ => IntakeError::reading("reading the file's directory", fault),
    }
}
