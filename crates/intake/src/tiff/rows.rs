use colour::{Band, BitDepth, Damage, RasterFormat, RowSource, Samples};

use crate::bytes::Original;
use crate::{FileFormat, IntakeError};

use super::layout::Layout;
use super::reading::Reading;
use super::samples::Painter;
use super::wide_samples::Strays;

/// Rows of a TIFF picture. Strips stream; tiles are put together into bands of their height.
pub(super) struct TiffRows {
    reading: Reading,
    painter: AnyPainter,
    ended: bool,
    damage: Vec<Damage>,
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
        Self { reading: Reading::new(layout, original), painter, ended: false, damage: Vec::new() }
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
        let rows = self.reading.next_row() - first_row;
        Ok(Some(Band { first_row, rows, samples }))
    }

    /// A chunk may hold all its rows and still be stated to reach past the end of the file.
    fn end(&mut self) -> Result<Option<Band>, IntakeError> {
        self.ended = true;
        if self.reading.ends_early() {
            let height = self.format().height;
            return Err(IntakeError::cut_after(FileFormat::Tiff, height, height));
        }
        let strays = self.strays();
        if strays.not_numbers > 0 {
            let detail = format!("{} of its samples are not numbers", strays.not_numbers);
            return Err(IntakeError::corrupt(FileFormat::Tiff, detail));
        }
        if strays.outside > 0 {
            let detail = format!("{} samples outside 0 to 1 were cut to that", strays.outside);
            self.damage.push(Damage { missing_rows: 0, detail });
        }
        Ok(None)
    }
}

impl TiffRows {
    const fn strays(&self) -> Strays {
        match &self.painter {
            AnyPainter::Eight(painter) => painter.strays(),
            AnyPainter::Sixteen(painter) => painter.strays(),
        }
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

    fn damage(&self) -> &[Damage] {
        &self.damage
    }
}
