use colour::{Band, BitDepth, RasterFormat, RowSource, Samples};

use crate::IntakeError;
use crate::bands::rows_per_band;

/// Rows of a picture whose decoder gives it as a whole. The decoding waits for the first band.
pub(crate) struct HeldRows {
    format: RasterFormat,
    decode: Option<Decode>,
    samples: Vec<u8>,
    next_row: u32,
}

/// Decodes all samples; those of 16 bits in the machine's byte order.
pub(crate) type Decode = Box<dyn FnOnce() -> Result<Vec<u8>, IntakeError> + Send>;

impl HeldRows {
    pub(crate) fn new(format: RasterFormat, decode: Decode) -> Self {
        Self { format, decode: Some(decode), samples: Vec::new(), next_row: 0 }
    }

    fn row_bytes(&self) -> usize {
        crate::bands::row_bytes(&self.format)
    }
}

impl RowSource for HeldRows {
    type Error = IntakeError;

    fn format(&self) -> RasterFormat {
        self.format
    }

    fn next_band(&mut self) -> Result<Option<Band>, IntakeError> {
        if let Some(decode) = self.decode.take() {
            self.samples = decode()?;
        }
        let from = self.next_row as usize * self.row_bytes();
        let held = self.samples.len().saturating_sub(from) / self.row_bytes();
        let rows = rows_per_band(&self.format).min(u32::try_from(held).unwrap_or(u32::MAX));
        if rows == 0 {
            return Ok(None);
        }
        let first_row = self.next_row;
        self.next_row += rows;
        let bytes = &self.samples[from..from + rows as usize * self.row_bytes()];
        let samples = match self.format.depth {
            BitDepth::Eight => Samples::Eight(bytes.to_vec()),
            BitDepth::Sixteen => {
                let words = bytes.as_chunks().0.iter();
                Samples::Sixteen(words.map(|word| u16::from_ne_bytes(*word)).collect())
            }
        };
        Ok(Some(Band { first_row, rows, samples }))
    }
}
