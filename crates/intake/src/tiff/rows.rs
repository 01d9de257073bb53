use std::num::NonZeroUsize;
use std::sync::Arc;

use colour::{Band, BitDepth, Damage, RasterFormat, RowSource, Samples};

use crate::bytes::Original;
use crate::{FileFormat, IntakeError};

use super::division::Division;
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
    /// Where others read the rows.
    division: Option<Arc<Division>>,
}

enum AnyPainter {
    Eight(Painter<u8>),
    Sixteen(Painter<u16>),
}

impl AnyPainter {
    fn new(layout: &Layout) -> Self {
        match layout.format.depth {
            BitDepth::Eight => Self::Eight(Painter::new(layout)),
            BitDepth::Sixteen => Self::Sixteen(Painter::new(layout)),
        }
    }

    /// The next rows; nothing when all have been read.
    fn read(&mut self, reading: &mut Reading) -> Result<Option<Band>, IntakeError> {
        let (first_row, rows) = (reading.next_row(), reading.rows_of_next_band());
        if rows == 0 {
            return Ok(None);
        }
        let samples = match self {
            Self::Eight(painter) => Samples::Eight(reading.read(painter, rows)?),
            Self::Sixteen(painter) => Samples::Sixteen(reading.read(painter, rows)?),
        };
        let rows = reading.next_row() - first_row;
        Ok(Some(Band { first_row, rows, samples }))
    }
}

impl TiffRows {
    pub(super) fn new(layout: Layout, original: Original) -> Self {
        Self {
            painter: AnyPainter::new(&layout),
            reading: Reading::new(layout, original),
            ended: false,
            damage: Vec::new(),
            division: None,
        }
    }

    fn step(&mut self) -> Result<Option<Band>, IntakeError> {
        if let Some(fault) = self.division.as_ref().and_then(|division| division.take_fault()) {
            return Err(fault);
        }
        match self.painter.read(&mut self.reading)? {
            Some(band) => Ok(Some(band)),
            None => self.end(),
        }
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

    fn divide(&mut self, parts: NonZeroUsize) -> Vec<Box<dyn RowSource<Error = IntakeError>>> {
        let layout = self.reading.layout();
        let down = layout.chunks.down();
        // What samples stray outside is counted by one painter alone.
        if self.reading.next_row() > 0 || layout.wide.is_some() || down < 2 * parts.get() {
            return Vec::new();
        }
        let division = Arc::new(Division::new(down));
        let part = |_| -> Box<dyn RowSource<Error = IntakeError>> {
            Box::new(PartOfRows {
                painter: AnyPainter::new(layout),
                reading: self.reading.beside(),
                down: None,
                division: Arc::clone(&division),
            })
        };
        let all = (0..parts.get()).map(part).collect();
        self.division = Some(division);
        self.reading.leave();
        all
    }

    fn damage(&self) -> &[Damage] {
        &self.damage
    }
}

/// Rows of a TIFF picture beside others: one row of strips or tiles after the other, as they are
/// handed out.
struct PartOfRows {
    reading: Reading,
    painter: AnyPainter,
    /// The row of chunks that is being read; none before the first and after the last.
    down: Option<usize>,
    division: Arc<Division>,
}

impl RowSource for PartOfRows {
    type Error = IntakeError;

    fn format(&self) -> RasterFormat {
        self.reading.format()
    }

    fn next_band(&mut self) -> Result<Option<Band>, IntakeError> {
        loop {
            if let Some(down) = self.down {
                match self.painter.read(&mut self.reading) {
                    Ok(Some(band)) => return Ok(Some(band)),
                    Ok(None) => {}
                    Err(fault) => {
                        self.division.fail(down, fault);
                        self.down = None;
                        return Ok(None);
                    }
                }
            }
            self.down = self.division.claim();
            match self.down {
                Some(down) => self.reading.go_to(down),
                None => return Ok(None),
            }
        }
    }
}
