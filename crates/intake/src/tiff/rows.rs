use colour::{Band, BitDepth, RasterFormat, RowSource, Samples};

use crate::bytes::Original;
use crate::{FileFormat, IntakeError};

use super::layout::Layout;
use super::reading::Reading;
use super::samples::Painter;

/// Rows of a TIFF picture. Strips stream; tiles are put together into bands of their height.
pub(super) struct TiffRows {
    reading: Reading,
    painter: AnyPainter,
    ended: bool,
}

enum AnyPainter {
    Eight(Painter<u8>),
    Sixteen(Painter<u16>),
}

impl TiffRows {
    pub(super) fn new(layout: Layout, original: Original) -> Self {
        let painter = match layout.format.depth {
            BitDepth::Eight => AnyPainter::Eight(Painter::new(&layout)),
            BitDepth::Sixteen => AnyPainter::Sixteen(Painter::new(&layout)),
        };
        Self { reading: Reading::new(layout, original), painter, ended: false }
    }

    fn step(&mut self) -> Result<Option<Band>, IntakeError> {
        let (first_row, rows) = (self.reading.next_row(), self.reading.rows_of_next_band());
        if rows == 0 {
            return self.end();
        }
        let samples = match &mut self.painter {
            AnyPainter::Eight(painter) => Samples::Eight(self.reading.read(painter, rows)?),
            AnyPainter::Sixteen(painter) => Samples::Sixteen(self.reading.read(painter, rows)?),
        };
        Ok(Some(Band { first_row, rows, samples }))
    }

    /// A chunk may hold all its rows and still be stated to reach past the end of the file.
    fn end(&mut self) -> Result<Option<Band>, IntakeError> {
        self.ended = true;
        if self.reading.ends_early() {
            let height = self.format().height;
            return Err(IntakeError::cut_after(FileFormat::Tiff, height, height));
        }
        Ok(None)
    }
}

impl RowSource for TiffRows {
    type Error = IntakeError;

    fn format(&self) -> RasterFormat {
        self.reading.format()
    }

    fn next_band(&mut self) -> Result<Option<Band>, IntakeError> {
        if self.ended {
            return Ok(None);
        }
        self.step().inspect_err(|_| self.ended = true)
    }
}
