use std::cell::Cell;
use std::collections::HashSet;
use std::mem::take;
use std::panic::resume_unwind;

use hayro::hayro_interpret::font::{Glyph, GlyphRun};
use hayro::hayro_interpret::pattern::{Pattern, TilingPattern};
use hayro::hayro_interpret::{
    BlendMode, CacheKey, ClipPath, Context, Device, DrawMode, DrawProps, Image, ImageDrawProps,
    InterpreterCache, InterpreterSettings, Paint, SoftMask, interpret_page,
};
use hayro::hayro_syntax::page::Page;
use hayro::kurbo::{Affine, BezPath, Rect, Shape};

use crate::drawn_rows::Canvas;
use crate::{IntakeError, Limits};

/// What a page asks to be drawn, counted before anything is: patterns within patterns may ask for
/// more than any machine draws, and the renderer keeps the outline of every mark until a band is done.
///
/// Like the renderer it goes through the cell of a pattern anew for each mark that the pattern
/// fills, and through a mask once on each surface.
pub(super) struct Marks<'c> {
    page: Rect,
    marks: &'c Cell<u64>,
    most: u64,
    bytes: u64,
    masks: HashSet<u128>,
}

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

impl<'c> Marks<'c> {
    /// Goes through a page without drawing it; `to_page` leads to the canvas's pixels.
    ///
    /// It unwinds at a page of too many marks into the guard around it, and leaves in `marks` how
    /// many were counted until then.
    pub(super) fn count(
        page: &Page<'_>,
        canvas: &Canvas,
        to_page: Affine,
        limits: &Limits,
        marks: &'c Cell<u64>,
    ) -> Self {
        let area = Rect::new(0.0, 0.0, f64::from(canvas.width), f64::from(canvas.height));
        let most = limits.max_marks;
        let mut counting = Self { page: area, marks, most, bytes: 0, masks: HashSet::new() };
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
        self.bytes += bytes;
        self.add_marks(1);
    }

    fn add_marks(&self, further: u64) {
        self.marks.set(self.marks.get().saturating_add(further));
        if self.marks.get() > self.most {
            resume_unwind(Box::new("too many marks"));
        }
    }

    /// Goes through what is drawn on a surface of its own: it has masks of its own, and its
    /// outlines are gone before the band is drawn.
    fn aside(&mut self, draw: impl FnOnce(&mut Self)) {
        let (bytes, masks) = (self.bytes, take(&mut self.masks));
        draw(self);
        (self.bytes, self.masks) = (bytes, masks);
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

/// How often the cell of a pattern is drawn for one mark: once for each step into which its box
/// reaches, along both axes.
fn copies(tiling: &TilingPattern<'_>) -> u64 {
    let along = |side: f64, step: f32| (side / f64::from(step.abs())).ceil() + 1.0;
    let across = along(tiling.bbox.width(), tiling.x_step);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "no side or step is below zero, and what is too large or no number saturates"
    )]
    let copies = (across * along(tiling.bbox.height(), tiling.y_step)) as u64;
    copies.max(1)
}

impl<'a> Marks<'_> {
    fn add_paint(&mut self, paint: &Paint<'a>, is_stroke: bool) {
        let Paint::Pattern(pattern) = paint else { return };
        let Pattern::Tiling(tiling) = &**pattern else { return };
        let before = self.marks.get();
        self.aside(|aside| {
            // It gives nothing where the cell can't be unpacked; then nothing is drawn.
            let _ = tiling.interpret(aside, tiling.matrix, is_stroke);
        });
        let cell = self.marks.get() - before;
        self.add_marks(cell.saturating_mul(copies(tiling) - 1));
    }

    fn add_mask(&mut self, mask: Option<&SoftMask<'a>>) {
        let Some(mask) = mask else { return };
        if self.masks.insert(mask.cache_key()) {
            self.aside(|aside| mask.interpret(aside));
        }
    }
}

impl<'a> Device<'a> for Marks<'_> {
    fn draw_path(&mut self, path: &BezPath, props: DrawProps<'a>, mode: &DrawMode) {
        self.add_outline(props.transform.transform_rect_bbox(path.bounding_box()));
        self.add_paint(&props.paint, matches!(mode, DrawMode::Stroke(_)));
        self.add_mask(props.soft_mask.as_ref());
    }

    fn push_clip_path(&mut self, clip: &ClipPath) {
        self.add_outline(clip.path.bounding_box());
    }

    fn push_transparency_group(&mut self, _: f32, mask: Option<SoftMask<'a>>, _: BlendMode) {
        self.add(BYTES_A_MARK);
        self.add_mask(mask.as_ref());
    }

    fn draw_glyph_run(&mut self, run: &GlyphRun<'_, 'a>, props: DrawProps<'a>, mode: &DrawMode) {
        for positioned in run.glyphs() {
            self.add(BYTES_A_LETTER);
            match &**positioned {
                Glyph::Type3(drawn) => {
                    drawn.interpret(self, props.transform, positioned.transform(), &props.paint);
                }
                Glyph::Outline(_) => {
                    self.add_paint(&props.paint, matches!(mode, DrawMode::Stroke(_)));
                }
            }
        }
        self.add_mask(props.soft_mask.as_ref());
    }

    fn draw_image(&mut self, _: Image<'a, '_>, props: ImageDrawProps<'a>) {
        self.add(BYTES_A_MARK);
        self.add_mask(props.soft_mask.as_ref());
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
        let marks = Cell::new(1);
        let counted =
            Marks { page: Rect::ZERO, marks: &marks, most: 1, bytes, masks: HashSet::new() };
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
