use std::cell::Cell;
use std::sync::Arc;
use std::sync::atomic::{AtomicU8, Ordering};

use hayro::hayro_interpret::util::TransformExt;
use hayro::hayro_interpret::{InterpreterSettings, InterpreterWarning};
use hayro::hayro_syntax::Pdf;
use hayro::hayro_syntax::object::Rect as PdfRect;
use hayro::hayro_syntax::page::Page;
use hayro::kurbo::{Affine, Rect};
use hayro::vello_cpu::color::palette::css::TRANSPARENT;
use hayro::vello_cpu::{Pixmap, RasterizerSettings, RenderContext, Resources, TargetInit};
use hayro::{RenderCache, RenderSettings, render_into};

use crate::drawn_rows::{Canvas, Drawing};
use crate::guarded::guarded;
use crate::{FileFormat, IntakeError, Limits, PageBox};

use super::content::bytes_to_follow;
use super::corrupt;
use super::marks::Marks;

/// A page of a document, to be drawn.
pub(super) struct PageDrawing {
    pdf: Arc<Pdf>,
    index: usize,
    area: PageArea,
    most_rows: u32,
}

/// The part of a page that is printed.
#[derive(Clone, Copy)]
pub(super) struct PageArea {
    /// As it is seen, after the page's own rotation, from the top left of its crop box.
    seen: Rect,
    /// Whether the page states the box that was asked for.
    pub(super) stated: bool,
}

impl PageArea {
    pub(super) fn width(&self) -> f64 {
        self.seen.width()
    }

    pub(super) fn height(&self) -> f64 {
        self.seen.height()
    }
}

/// The box of a page, cut at the media box (ISO 32000-2, 14.11.2.1); the crop box where it states
/// none that has an area.
pub(super) fn page_area(page: &Page<'_>, wanted: PageBox) -> PageArea {
    let stated = |name: &[u8]| page.raw().get::<PdfRect>(name);
    let found = match wanted {
        PageBox::Trim => stated(b"TrimBox"),
        PageBox::Bleed => stated(b"BleedBox"),
        PageBox::Crop => None,
        PageBox::Media => Some(page.media_box()),
    };
    let inside = found.map(|found| found.intersect(page.media_box()));
    let usable = inside.filter(|inside| inside.width() > 0.0 && inside.height() > 0.0);
    let (x0, y0, x1, y1) = match usable {
        Some(usable) => (usable.x0, usable.y0, usable.x1, usable.y1),
        None => {
            let crop = page.intersected_crop_box();
            let (width, height) = page.base_dimensions();
            (crop.x0, crop.y0, crop.x0 + f64::from(width), crop.y0 + f64::from(height))
        }
    };
    let upright = page.initial_transform(true).to_kurbo();
    let seen = upright.transform_rect_bbox(Rect::new(x0, y0, x1, y1));
    PageArea { seen, stated: usable.is_some() || wanted == PageBox::Crop }
}

/// What the renderer left out.
const NOTHING: u8 = 0;
const FONT: u8 = 1;
const PICTURE: u8 = 2;

impl Drawing for PageDrawing {
    fn most_rows(&self) -> u32 {
        self.most_rows
    }

    fn draw(&self, canvas: &Canvas, first_row: u32, rows: u32) -> Result<Vec<u8>, IntakeError> {
        let left_out = Arc::new(AtomicU8::new(NOTHING));
        let drawn = guarded(FileFormat::Pdf, || {
            Ok(self.draw_band(canvas, first_row, rows, Arc::clone(&left_out)))
        })?;
        match (drawn, left_out.load(Ordering::Relaxed)) {
            (Some(pixels), NOTHING) => Ok(pixels),
            (_, FONT) => Err(IntakeError::unsupported(
                "a PDF page with a font that can't be drawn",
                "turn its text into outlines",
            )),
            (_, PICTURE) => Err(corrupt("a picture on the page can't be decoded")),
            (None, NOTHING) => Err(corrupt("the page can't be drawn")),
            (_, _) => Err(corrupt("an annotation on the page can't be drawn")),
        }
    }
}

impl PageDrawing {
    /// Looks at what the page asks for, and refuses more than can be drawn.
    pub(super) fn new(
        pdf: Arc<Pdf>,
        index: usize,
        area: PageArea,
        canvas: &Canvas,
        limits: &Limits,
    ) -> Result<Self, IntakeError> {
        let mut drawing = Self { pdf, index, area, most_rows: canvas.height };
        let counted = Cell::new(0);
        let marks = guarded(FileFormat::Pdf, || {
            let Some(page) = drawing.pdf.pages().get(index) else { return Ok(None) };
            limits.check_content(bytes_to_follow(page))?;
            let to_canvas = drawing.to_band(page, canvas, 0);
            Ok(Some(Marks::count(page, canvas, to_canvas, limits, &counted)))
        });
        // Too many marks end the counting as a panic of the library would.
        limits.check_marks(counted.get())?;
        if let Some(marks) = marks? {
            drawing.most_rows = marks.rows_of_band(canvas, limits)?;
        }
        Ok(drawing)
    }

    /// From the page's units to the pixels of a band.
    fn to_band(&self, page: &Page<'_>, canvas: &Canvas, first_row: u32) -> Affine {
        Affine::translate((0.0, -f64::from(first_row)))
            * Affine::scale(canvas.scale)
            * Affine::translate((-self.area.seen.x0, -self.area.seen.y0))
            * page.initial_transform(true).to_kurbo()
    }

    fn draw_band(
        &self,
        canvas: &Canvas,
        first_row: u32,
        rows: u32,
        left_out: Arc<AtomicU8>,
    ) -> Option<Vec<u8>> {
        let page = self.pdf.pages().get(self.index)?;
        let (width, rows) = (u16::try_from(canvas.width).ok()?, u16::try_from(rows).ok()?);
        let settings = InterpreterSettings {
            warning_sink: Arc::new(move |warning| {
                let kind = match warning {
                    InterpreterWarning::UnsupportedFont => FONT,
                    InterpreterWarning::ImageDecodeFailure => PICTURE,
                    _ => PICTURE + 1,
                };
                left_out.store(kind, Ordering::Relaxed);
            }),
            ..InterpreterSettings::default()
        };
        let to_band = self.to_band(page, canvas, first_row);
        let mut context = RenderContext::new(width, rows);
        let cache = RenderCache::new();
        render_into(page, &cache, &settings, &RenderSettings::default(), &mut context, to_band);
        context.flush();
        let mut band = Pixmap::new(width, rows);
        let target = RasterizerSettings {
            target_init: TargetInit::Clear(TRANSPARENT),
            ..RasterizerSettings::default()
        };
        context.render_with(&mut band, &mut Resources::default(), target);
        Some(band.data_as_u8_slice().to_vec())
    }
}
