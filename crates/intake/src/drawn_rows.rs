use colour::{Alpha, Band, BitDepth, ColourModel, RasterFormat, RowSource, Samples};
use units::DotsPerInch;

use crate::picture::Rows;
use crate::{FileFormat, IntakeError, Limits, Resolution, ResolutionSource};

/// Something without pixels of its own, drawn band by band.
pub(crate) trait Drawing: Send {
    /// The most rows that should be drawn at once.
    fn most_rows(&self) -> u32 {
        u32::MAX
    }

    /// Draws some rows of [`Canvas::width`] pixels: red, green, blue and opacity, multiplied.
    fn draw(&self, canvas: &Canvas, first_row: u32, rows: u32) -> Result<Vec<u8>, IntakeError>;
}

/// The pixels that a page of some size takes at a resolution.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Canvas {
    pub(crate) width: u32,
    pub(crate) height: u32,
    /// Pixels for each unit of length of the drawing.
    pub(crate) scale: f64,
    drawn_at: DotsPerInch,
}

/// Pixels of a band; our choice: 32 MB, and most pages are drawn at once, because every band goes
/// through the whole drawing again.
const BAND_PIXELS: u32 = 8 << 20;

/// Longest side that renderers address.
const LONGEST_SIDE: u32 = 65_535;

impl Canvas {
    /// The canvas of a page of `width` × `height` units, of which an inch has `units_per_inch`.
    /// A part of a pixel at the edge becomes a pixel.
    pub(crate) fn new(
        format: FileFormat,
        (width, height): (f64, f64),
        units_per_inch: f64,
        drawn_at: DotsPerInch,
        limits: &Limits,
    ) -> Result<Self, IntakeError> {
        let scale = drawn_at.to_dots_per_inch() / units_per_inch;
        let (width, height) = (pixels(width * scale), pixels(height * scale));
        limits.check_size(format, width, height)?;
        if width.max(height) > LONGEST_SIDE {
            return Err(IntakeError::TooLarge {
                quantity: "the longer side of the page as drawn",
                value: width.max(height).into(),
                limit: LONGEST_SIDE.into(),
                unit: "pixels",
                remedy: "draw it at fewer pixels per inch",
            });
        }
        Ok(Self { width, height, scale, drawn_at })
    }

    pub(crate) const fn format(&self) -> RasterFormat {
        RasterFormat {
            width: self.width,
            height: self.height,
            model: ColourModel::Rgb,
            depth: BitDepth::Eight,
            alpha: Alpha::Associated,
        }
    }

    pub(crate) const fn resolution(&self) -> Resolution {
        Resolution {
            across: self.drawn_at,
            along: self.drawn_at,
            stated_by: ResolutionSource::PageSize,
        }
    }
}

/// Rounded up, but not for what arithmetic left behind the point.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "casts from float saturate, and sizes are checked afterwards"
)]
fn pixels(length: f64) -> u32 {
    (length - 1e-3).ceil().max(0.0) as u32
}

/// Rows of a drawing.
pub(crate) struct DrawnRows<D> {
    drawing: D,
    canvas: Canvas,
    next_row: u32,
}

impl<D: Drawing + 'static> DrawnRows<D> {
    pub(crate) fn boxed(drawing: D, canvas: Canvas) -> Rows {
        Box::new(Self { drawing, canvas, next_row: 0 })
    }
}

impl<D: Drawing> RowSource for DrawnRows<D> {
    type Error = IntakeError;

    fn format(&self) -> RasterFormat {
        self.canvas.format()
    }

    fn next_band(&mut self) -> Result<Option<Band>, IntakeError> {
        let left = self.canvas.height - self.next_row;
        if left == 0 {
            return Ok(None);
        }
        let most = (BAND_PIXELS / self.canvas.width).min(self.drawing.most_rows()).max(1);
        let (first_row, rows) = (self.next_row, left.min(most));
        // A drawing that fails once is not asked again.
        self.next_row = self.canvas.height;
        let samples = self.drawing.draw(&self.canvas, first_row, rows)?;
        self.next_row = first_row + rows;
        Ok(Some(Band { first_row, rows, samples: Samples::Eight(samples) }))
    }
}
