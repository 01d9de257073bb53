use std::io::{self, Read, Seek, SeekFrom};
use std::sync::{Arc, Mutex};

use crate::bytes::Original;
use crate::tags::Directory;
use crate::{FileFormat, IntakeError};

use super::FileTags;
use super::codec::buffered;
use super::unpacking::Unpacking;

/// Tags of TIFF 6.0 that say where pixels are stored.
mod tag {
    pub(super) const STRIP_OFFSETS: u16 = 273;
    pub(super) const ROWS_PER_STRIP: u16 = 278;
    pub(super) const STRIP_BYTE_COUNTS: u16 = 279;
    pub(super) const TILE_WIDTH: u16 = 322;
    pub(super) const TILE_LENGTH: u16 = 323;
    pub(super) const TILE_OFFSETS: u16 = 324;
    pub(super) const TILE_BYTE_COUNTS: u16 = 325;
}

/// The strips or tiles: their size in pixels and where each is stored, plane after plane, row
/// after row, from left to right.
pub(super) struct Chunks {
    pub(super) tiled: bool,
    pub(super) width: u32,
    pub(super) height: u32,
    across: usize,
    down: usize,
    places: Vec<Place>,
}

/// Where one chunk is stored.
#[derive(Clone, Copy)]
struct Place {
    offset: u64,
    bytes: u64,
}

impl Chunks {
    pub(super) fn read(
        tags: &mut FileTags<'_>,
        directory: &Directory,
        (width, height): (u32, u32),
        planes: usize,
    ) -> Result<Self, IntakeError> {
        let tiled = directory.contains(tag::TILE_OFFSETS);
        let size = if tiled {
            let sides = [tag::TILE_WIDTH, tag::TILE_LENGTH];
            let mut side = |tag| tags.first(directory, tag).map(|side| side.unwrap_or(0));
            (side(sides[0])?, side(sides[1])?)
        } else {
            let rows = tags.first(directory, tag::ROWS_PER_STRIP)?;
            // The default means all rows in one strip.
            (width.into(), rows.unwrap_or(u64::MAX).min(height.into()))
        };
        let (chunk_width, chunk_height) = match (u32::try_from(size.0), u32::try_from(size.1)) {
            (Ok(width @ 1..=MOST_SIDE), Ok(height @ 1..=MOST_SIDE)) => (width, height),
            _ => {
                return Err(corrupt(format!("it states chunks of {} x {} pixels", size.0, size.1)));
            }
        };
        let across = width.div_ceil(chunk_width) as usize;
        let down = height.div_ceil(chunk_height) as usize;
        let places = places(tags, directory, tiled, across * down * planes)?;
        let chunks = Self { tiled, width: chunk_width, height: chunk_height, across, down, places };
        chunks.check_apart()?;
        Ok(chunks)
    }

    /// Chunks in a row of chunks.
    pub(super) const fn across(&self) -> usize {
        self.across
    }

    /// Rows of chunks.
    pub(super) const fn down(&self) -> usize {
        self.down
    }

    /// Index of a chunk.
    pub(super) const fn index(&self, plane: usize, down: usize, across: usize) -> usize {
        (plane * self.down + down) * self.across + across
    }

    /// The first chunk that ends past the end of the file.
    pub(super) fn first_past(&self, file_bytes: u64) -> Option<usize> {
        self.places.iter().position(|place| place.ends_past(file_bytes))
    }

    /// Whether one chunk ends past the end of the file.
    pub(super) fn is_past(&self, index: usize, file_bytes: u64) -> bool {
        self.places[index].ends_past(file_bytes)
    }

    /// Starts to read a chunk.
    pub(super) fn open(
        &self,
        index: usize,
        unpacking: &Unpacking,
        rows: u32,
        original: &Shared,
    ) -> Box<dyn Read + Send> {
        let place = self.places[index];
        let stored =
            Stored { original: Arc::clone(original), offset: place.offset, left: place.bytes };
        unpacking.unpack(buffered(stored, place.bytes), (self.width, rows))
    }

    /// Bytes of the longest chunk as stored.
    pub(super) fn most_bytes(&self) -> u64 {
        self.places.iter().map(|place| place.bytes).max().unwrap_or(0)
    }

    /// Refuses chunks that are left out and chunks that share bytes: the one has no colour that is
    /// agreed upon, the other makes much of little.
    fn check_apart(&self) -> Result<(), IntakeError> {
        if self.places.iter().any(|place| place.bytes == 0) {
            let what = "a TIFF file that leaves out some of its strips or tiles";
            return Err(IntakeError::unsupported(what, "save it with all its pixels"));
        }
        let mut places: Vec<_> =
            self.places.iter().map(|place| (place.offset, place.bytes)).collect();
        places.sort_unstable();
        let overlap =
            places.windows(2).find(|pair| pair[0].0.saturating_add(pair[0].1) > pair[1].0);
        match overlap {
            Some(pair) => {
                let (one, other) = (pair[0].0, pair[1].0);
                Err(corrupt(format!("chunks at bytes {one} and {other} overlap")))
            }
            None => Ok(()),
        }
    }
}

/// Longest side of a chunk; our choice, far above any in use, so that sizes can't overflow.
const MOST_SIDE: u32 = 1 << 20;

fn places(
    tags: &mut FileTags<'_>,
    directory: &Directory,
    tiled: bool,
    count: usize,
) -> Result<Vec<Place>, IntakeError> {
    let (offsets, sizes) = if tiled {
        (tag::TILE_OFFSETS, tag::TILE_BYTE_COUNTS)
    } else {
        (tag::STRIP_OFFSETS, tag::STRIP_BYTE_COUNTS)
    };
    let mut listed = |tag| tags.numbers(directory, tag, count as u64);
    let offsets = listed(offsets)?.unwrap_or_default();
    let sizes = listed(sizes)?.unwrap_or_default();
    if offsets.len() != count || sizes.len() != count {
        return Err(corrupt(format!(
            "it lists {} places and {} sizes for {count} chunks of pixels",
            offsets.len(),
            sizes.len()
        )));
    }
    let places = offsets.into_iter().zip(sizes);
    Ok(places.map(|(offset, bytes)| Place { offset, bytes }).collect())
}

impl Place {
    fn ends_past(&self, file_bytes: u64) -> bool {
        self.offset.checked_add(self.bytes).is_none_or(|end| end > file_bytes)
    }
}

/// The file, read by several chunks in turn.
pub(super) type Shared = Arc<Mutex<Original>>;

/// The stored bytes of one chunk. Several may be read in turn, each from its own place.
struct Stored {
    original: Shared,
    offset: u64,
    left: u64,
}

impl Read for Stored {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let wanted = usize::try_from(self.left).map_or(buffer.len(), |left| left.min(buffer.len()));
        if wanted == 0 {
            return Ok(0);
        }
        let poisoned = |_| io::Error::other("another reader of the file failed");
        let mut original = self.original.lock().map_err(poisoned)?;
        original.seek(SeekFrom::Start(self.offset))?;
        let read = original.read(&mut buffer[..wanted])?;
        self.offset += read as u64;
        self.left -= read as u64;
        Ok(read)
    }
}

fn corrupt(detail: impl Into<String>) -> IntakeError {
    IntakeError::corrupt(FileFormat::Tiff, detail)
}
