use std::panic::resume_unwind;

use hayro::hayro_interpret::font::GlyphRun;
use hayro::hayro_interpret::{
    BlendMode, ClipPath, Context, Device, DrawMode, DrawProps, Image, ImageDrawProps,
    InterpreterCache, InterpreterSettings, SoftMask, interpret_page,
};
use hayro::hayro_syntax::page::Page;
use hayro::kurbo::{Affine, BezPath, Rect, Shape};

use crate::drawn_rows::Canvas;
use crate::{IntakeError, Limits};

use super::corrupt;

/// What a page asks to be drawn, counted before anything is: forms within forms may ask for more
/// than any machine draws, and the renderer keeps the outline of every mark until a band is done.
pub(super) struct Marks {
    page: Rect,
    marks: u64,
    bytes: u64,
}

/// Most marks of a page; our choice: a map of a city has some hundred thousand, and going through
/// so many takes seconds.
const MOST_MARKS: u64 = 4_000_000;
/// Memory of outlines in a band that needs no narrower bands; our choice, as for the band's pixels.
const OUTLINES_OF_BAND: u64 = 64 << 20;
/// Fewest rows of a band; our choice: every band goes through all marks again.
const FEWEST_ROWS: u32 = 16;
/// Bytes that the renderer keeps for a row or a column that an outline crosses. Measured with
/// rectangles: 36 a row; twice that for shapes whose sides are crossed more often.
const BYTES_A_STEP: f64 = 72.0;
/// Bytes of an outline besides; and of a letter, which is seldom larger than 30 pixels. Our choice.
const BYTES_A_MARK: u64 = 200;
const BYTES_A_LETTER: u64 = 4096;

impl Marks {
    /// Goes through a page without drawing it; `to_page` leads to the canvas's pixels.
    ///
    /// It unwinds at a page of too many marks, which makes the guard around it refuse the file.
    pub(super) fn count(page: &Page<'_>, canvas: &Canvas, to_page: Affine) -> Self {
        let area = Rect::new(0.0, 0.0, f64::from(canvas.width), f64::from(canvas.height));
        let mut counting = Self { page: area, marks: 0, bytes: 0 };
        let cache = InterpreterCache::new();
        let settings = InterpreterSettings::default();
        let mut context = Context::new(to_page, area, &cache, page.xref(), settings);
        interpret_page(page, &mut context, &mut counting);
        counting
    }

    /// The most rows of a band whose outlines fit into the memory of bands.
    pub(super) fn rows_of_band(
        &self,
        canvas: &Canvas,
        limits: &Limits,
    ) -> Result<u32, IntakeError> {
        if self.bytes <= OUTLINES_OF_BAND {
            return Ok(canvas.height);
        }
        let height = u64::from(canvas.height);
        let rows = (height * OUTLINES_OF_BAND / self.bytes).max(u64::from(FEWEST_ROWS)).min(height);
        limits.check_held(self.bytes / height * rows, "export the page's pixels")?;
        Ok(u32::try_from(rows).unwrap_or(canvas.height))
    }

    fn add(&mut self, bytes: u64) {
        self.marks += 1;
        self.bytes += bytes;
        if self.marks > MOST_MARKS {
            resume_unwind(Box::new("too many marks"));
        }
    }

    fn add_outline(&mut self, seen: Rect) {
        let inside = seen.intersect(self.page);
        let steps = inside.width().max(0.0) + inside.height().max(0.0);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most the sides of a canvas, 2^17 pixels together"
        )]
        let bytes = (steps * BYTES_A_STEP) as u64;
        self.add(BYTES_A_MARK + bytes);
    }
}

/// The fault of a page that was refused while it was counted.
pub(super) fn too_many() -> IntakeError {
    corrupt(format!("the page holds more than {MOST_MARKS} marks, or none that can be followed"))
}

impl<'a> Device<'a> for Marks {
    fn draw_path(&mut self, path: &BezPath, props: DrawProps<'a>, _mode: &DrawMode) {
        self.add_outline(props.transform.transform_rect_bbox(path.bounding_box()));
    }

    fn push_clip_path(&mut self, clip: &ClipPath) {
        self.add_outline(clip.path.bounding_box());
    }

    fn push_transparency_group(&mut self, _: f32, _: Option<SoftMask<'a>>, _: BlendMode) {
        self.add(BYTES_A_MARK);
    }

    fn draw_glyph_run(&mut self, run: &GlyphRun<'_, 'a>, _: DrawProps<'a>, _: &DrawMode) {
        run.glyphs().iter().for_each(|_| self.add(BYTES_A_LETTER));
    }

    fn draw_image(&mut self, _: Image<'a, '_>, _: ImageDrawProps<'a>) {
        self.add(BYTES_A_MARK);
    }

    fn pop_clip(&mut self) {}

    fn pop_transparency_group(&mut self) {}
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::FileFormat;
    use units::DotsPerInch;

    fn canvas(height: f64) -> Canvas {
        let at = DotsPerInch::from_dots_per_inch(72.0).unwrap();
        Canvas::new(FileFormat::Pdf, (100.0, height), 72.0, at, &Limits::default()).unwrap()
    }

    fn rows(bytes: u64, height: f64) -> Result<u32, IntakeError> {
        let counted = Marks { page: Rect::ZERO, marks: 1, bytes };
        counted.rows_of_band(&canvas(height), &Limits::default())
    }

    #[test]
    fn a_page_with_many_outlines_is_drawn_in_narrower_bands() {
        assert_eq!(rows(OUTLINES_OF_BAND, 1000.0).unwrap(), 1000);
        assert_eq!(rows(4 * OUTLINES_OF_BAND, 1000.0).unwrap(), 250);
        assert_eq!(rows(500 * OUTLINES_OF_BAND, 1000.0).unwrap(), FEWEST_ROWS);
    }

    #[test]
    fn outlines_that_no_band_can_hold_are_refused() {
        let refused = rows(1 << 40, 1000.0).unwrap_err();
        assert!(refused.to_string().contains("memory"), "{refused}");
    }
}
