use colour::BitDepth;

use crate::PictureFileError;

/// The samples of one row, interleaved by pixel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Row<'a> {
    /// One byte a sample.
    Eight(&'a [u8]),
    /// One native 16-bit word a sample.
    Sixteen(&'a [u16]),
}

impl Row<'_> {
    const fn depth(&self) -> BitDepth {
        match self {
            Self::Eight(_) => BitDepth::Eight,
            Self::Sixteen(_) => BitDepth::Sixteen,
        }
    }

    const fn samples(&self) -> usize {
        match self {
            Self::Eight(samples) => samples.len(),
            Self::Sixteen(samples) => samples.len(),
        }
    }

    /// Appends the samples in the byte order of a format.
    pub(crate) fn append_to(&self, bytes: &mut Vec<u8>, of_word: fn(u16) -> [u8; 2]) {
        match self {
            Self::Eight(samples) => bytes.extend_from_slice(samples),
            Self::Sixteen(samples) => bytes.extend(samples.iter().flat_map(|word| of_word(*word))),
        }
    }
}

/// Counts rows and holds each to what the picture promised.
#[derive(Clone, Copy, Debug)]
pub(crate) struct RowCheck {
    pub(crate) samples: usize,
    pub(crate) depth: BitDepth,
    pub(crate) rows: u32,
    pub(crate) written: u32,
}

impl RowCheck {
    /// Takes the next row in.
    pub(crate) const fn next(&mut self, row: &Row<'_>) -> Result<(), PictureFileError> {
        let (samples, expected) = (row.samples(), self.samples);
        if self.written == self.rows {
            return Err(self.miscounted(self.written.saturating_add(1)));
        }
        if row.depth() as u8 != self.depth as u8 {
            return Err(PictureFileError::RowDepth { expected: self.depth });
        }
        if samples != expected {
            return Err(PictureFileError::RowLength { samples, expected });
        }
        self.written += 1;
        Ok(())
    }

    /// Refuses an end before the last row.
    pub(crate) const fn end(&self) -> Result<(), PictureFileError> {
        if self.written == self.rows { Ok(()) } else { Err(self.miscounted(self.written)) }
    }

    const fn miscounted(&self, written: u32) -> PictureFileError {
        PictureFileError::RowCount { written, expected: self.rows }
    }
}

/// Bytes of one sample.
pub(crate) const fn bytes_of(depth: BitDepth) -> usize {
    match depth {
        BitDepth::Eight => 1,
        BitDepth::Sixteen => 2,
    }
}
