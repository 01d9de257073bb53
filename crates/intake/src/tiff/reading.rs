use std::io::{self, Read};
use std::sync::{Arc, Mutex};

use colour::RasterFormat;

use crate::bands::rows_per_band;
use crate::bytes::Original;
use crate::{FileFormat, IntakeError};

use super::chunks::Shared;
use super::layout::Layout;
use super::samples::{Painter, Sample};

/// Goes through the strips or tiles of a picture from top to bottom.
pub(super) struct Reading {
    layout: Arc<Layout>,
    file_bytes: u64,
    original: Shared,
    /// The strip that is being read, once for each plane.
    strip: Vec<OpenChunk>,
    next_row: u32,
    /// The row behind the last that is read here.
    end_row: u32,
    /// What stopped the last band in its middle.
    fault: Option<IntakeError>,
}

/// A chunk of which some rows have been read.
struct OpenChunk {
    index: usize,
    plane: Option<usize>,
    unpacked: Box<dyn Read + Send>,
    row: Vec<u8>,
}

impl Reading {
    pub(super) fn new(layout: Layout, original: Original) -> Self {
        Self {
            file_bytes: original.length(),
            original: Arc::new(Mutex::new(original)),
            strip: Vec::new(),
            next_row: 0,
            end_row: layout.format.height,
            fault: None,
            layout: Arc::new(layout),
        }
    }

    /// Another reading of the same picture, of no rows yet.
    pub(super) fn beside(&self) -> Self {
        Self {
            layout: Arc::clone(&self.layout),
            file_bytes: self.file_bytes,
            original: Arc::clone(&self.original),
            strip: Vec::new(),
            next_row: 0,
            end_row: 0,
            fault: None,
        }
    }

    /// Goes on with one row of chunks.
    pub(super) fn go_to(&mut self, down: usize) {
        let height = self.layout.chunks.height;
        let above = u32::try_from(down).unwrap_or(u32::MAX);
        self.next_row = above.saturating_mul(height).min(self.layout.format.height);
        self.end_row = self.next_row.saturating_add(height).min(self.layout.format.height);
    }

    /// Leaves all rows to others.
    pub(super) fn leave(&mut self) {
        self.end_row = self.next_row;
    }

    pub(super) fn layout(&self) -> &Layout {
        &self.layout
    }

    pub(super) fn format(&self) -> RasterFormat {
        self.layout.format
    }

    pub(super) const fn next_row(&self) -> u32 {
        self.next_row
    }

    /// Zero after the last row.
    pub(super) fn rows_of_next_band(&self) -> u32 {
        let left = self.end_row - self.next_row;
        left.min(if self.layout.chunks.tiled {
            self.layout.chunks.height
        } else {
            rows_per_band(&self.layout.format)
        })
    }

    /// Whether the file ends before one of its chunks.
    pub(super) fn ends_early(&self) -> bool {
        self.layout.chunks.first_past(self.file_bytes).is_some()
    }

    /// Reads the next rows; tiles only as many as [`Self::rows_of_next_band`] says.
    pub(super) fn read<S: Sample>(
        &mut self,
        painter: &mut Painter<S>,
        rows: u32,
    ) -> Result<Vec<S>, IntakeError> {
        if let Some(fault) = self.fault.take() {
            return Err(fault);
        }
        let length = self.layout.format.samples_per_row();
        let mut samples = vec![S::default(); rows as usize * length];
        if self.layout.chunks.tiled {
            self.read_tiles(painter, &mut samples)?;
            self.next_row += rows;
        } else {
            for (index, row) in samples.chunks_exact_mut(length).enumerate() {
                match self.read_strip_row(painter, row) {
                    Ok(()) => self.next_row += 1,
                    Err(fault) if index == 0 => return Err(fault),
                    Err(fault) => {
                        // The rows before it are right, and are delivered first.
                        self.fault = Some(fault);
                        samples.truncate(index * length);
                        break;
                    }
                }
            }
        }
        Ok(samples)
    }

    fn read_strip_row<S: Sample>(
        &mut self,
        painter: &mut Painter<S>,
        row: &mut [S],
    ) -> Result<(), IntakeError> {
        let rows_per_strip = self.layout.chunks.height;
        if self.next_row.is_multiple_of(rows_per_strip) {
            let down = (self.next_row / rows_per_strip) as usize;
            self.strip = self.planes().map(|plane| self.open(plane, down, 0)).collect();
        }
        let left_in_strip = rows_per_strip - self.next_row % rows_per_strip;
        let is_last = left_in_strip == 1 || self.next_row + 1 == self.layout.format.height;
        // Out of `self`, so that faults can be explained while the strip is borrowed.
        let mut strip = std::mem::take(&mut self.strip);
        for chunk in &mut strip {
            match painter.as_stored(row) {
                Some(row) => self.read_into(chunk, row, self.next_row)?,
                None => {
                    let plane = chunk.plane;
                    painter.paint(self.read_row(chunk, self.next_row)?, plane, row);
                }
            }
            if is_last {
                self.check_end(chunk)?;
            }
        }
        self.strip = strip;
        Ok(())
    }

    fn read_tiles<S: Sample>(
        &self,
        painter: &mut Painter<S>,
        samples: &mut [S],
    ) -> Result<(), IntakeError> {
        let (format, chunks) = (self.layout.format, &self.layout.chunks);
        let down = (self.next_row / chunks.height) as usize;
        let tile_samples = chunks.width as usize * format.samples_per_pixel();
        for across in 0..chunks.across() {
            let left = across * tile_samples;
            for plane in self.planes() {
                let mut tile = self.open(plane, down, across);
                for row in samples.chunks_exact_mut(format.samples_per_row()) {
                    let right = row.len().min(left + tile_samples);
                    let raw = self.read_row(&mut tile, self.next_row)?;
                    painter.paint(raw, plane, &mut row[left..right]);
                }
                self.check_end(&mut tile)?;
            }
        }
        Ok(())
    }

    /// The planes that are delivered, or once `None` if pixels are stored as a whole.
    fn planes(&self) -> impl Iterator<Item = Option<usize>> + use<> {
        let planes: Vec<_> = if self.layout.planar {
            self.layout.picks.iter().copied().map(Some).collect()
        } else {
            vec![None]
        };
        planes.into_iter()
    }

    fn open(&self, plane: Option<usize>, down: usize, across: usize) -> OpenChunk {
        let chunks = &self.layout.chunks;
        let index = chunks.index(plane.unwrap_or(0), down, across);
        // The last strip ends with the picture, the last row of tiles doesn't.
        let above = u32::try_from(down).unwrap_or(u32::MAX).saturating_mul(chunks.height);
        let left = self.layout.format.height.saturating_sub(above);
        let rows = if chunks.tiled { chunks.height } else { chunks.height.min(left) };
        OpenChunk {
            index,
            plane,
            unpacked: chunks.open(index, &self.layout.unpacking, rows, &self.original),
            row: vec![0; self.layout.chunk_row_bytes()],
        }
    }

    fn read_row<'chunk>(
        &self,
        chunk: &'chunk mut OpenChunk,
        rows_read: u32,
    ) -> Result<&'chunk [u8], IntakeError> {
        chunk
            .unpacked
            .read_exact(&mut chunk.row)
            .map_err(|fault| self.explain(fault, chunk.index, rows_read))?;
        Ok(&chunk.row)
    }

    fn read_into(
        &self,
        chunk: &mut OpenChunk,
        row: &mut [u8],
        rows_read: u32,
    ) -> Result<(), IntakeError> {
        let read = chunk.unpacked.read_exact(row);
        read.map_err(|fault| self.explain(fault, chunk.index, rows_read))
    }

    /// Deflate and Zstandard end with a check sum, which must be right. A chunk may hold more rows.
    fn check_end(&self, chunk: &mut OpenChunk) -> Result<(), IntakeError> {
        if !self.layout.unpacking.codec.ends_with_check_sum() {
            return Ok(());
        }
        match chunk.unpacked.read(&mut [0]) {
            Err(fault) if is_damage(&fault) => Err(self.explain(fault, chunk.index, self.next_row)),
            _ => Ok(()),
        }
    }

    fn explain(&self, fault: io::Error, index: usize, rows_read: u32) -> IntakeError {
        let height = self.layout.format.height;
        if fault.kind() == io::ErrorKind::UnexpectedEof {
            if self.layout.chunks.is_past(index, self.file_bytes) {
                return IntakeError::cut_after(FileFormat::Tiff, rows_read, height);
            }
            let detail = format!("chunk {index} holds too few pixels (after {rows_read} rows)");
            return IntakeError::corrupt(FileFormat::Tiff, detail);
        }
        if is_damage(&fault) {
            let detail =
                format!("chunk {index} can't be unpacked ({fault}; after {rows_read} rows)");
            return IntakeError::corrupt(FileFormat::Tiff, detail);
        }
        IntakeError::reading("reading the TIFF file", fault)
    }
}

/// Whether the decompressor complains, and not the machine.
fn is_damage(fault: &io::Error) -> bool {
    matches!(fault.kind(), io::ErrorKind::InvalidData | io::ErrorKind::InvalidInput)
}
