//! PDF (ISO 32000-2): pages drawn by the `hayro` library in bands. It draws in RGB: CMYK, spot
//! colours and profiles arrive as it converts them, which is said of every page.

mod content;
mod drawing;
mod marks;
mod structure;

use std::sync::Arc;

use colour::Orientation;
use hayro::hayro_syntax::page::Page;
use hayro::hayro_syntax::{DecryptionError, LoadPdfError, Pdf};

use crate::bytes::Original;
use crate::drawn_rows::{Canvas, DrawnRows};
use crate::guarded::guarded;
use crate::{FileFormat, IntakeError, Limits, Notice, Opening, Picture};

use drawing::{PageDrawing, page_area};

/// Points of an inch (ISO 32000-2, 8.3.2.3).
const UNITS_PER_INCH: f64 = 72.0;

pub(crate) fn open(
    mut original: Original,
    limits: &Limits,
    opening: &Opening,
) -> Result<Picture, IntakeError> {
    let length = original.length();
    limits.check_held(length, "split the document")?;
    let file = original.first_bytes(length)?;
    if !opening.accept_damaged {
        structure::check_end(&file)?;
    }
    let content_hash = original.content_hash()?;
    let pdf = guarded(FileFormat::Pdf, || {
        let pdf = Arc::new(Pdf::new(file).map_err(explain)?);
        if !opening.accept_damaged {
            structure::check_streams(&pdf)?;
        }
        Ok(pdf)
    })?;
    let (pages, number) = (pdf.pages().len(), opening.page.get());
    let count = u32::try_from(pages).unwrap_or(u32::MAX);
    let index = number as usize - 1;
    let Some(page) = pdf.pages().get(index) else {
        if pages == 0 {
            return Err(corrupt("it has no pages"));
        }
        return Err(IntakeError::NoSuchPage {
            format: FileFormat::Pdf,
            page: number,
            pages: count,
        });
    };
    let (area, units_per_inch) = guarded(FileFormat::Pdf, || {
        Ok((page_area(page, opening.page_box), UNITS_PER_INCH / user_unit(page)))
    })?;
    let size = (area.width(), area.height());
    let canvas = Canvas::new(FileFormat::Pdf, size, units_per_inch, opening.drawn_at, limits)?;
    let drawing = PageDrawing::new(Arc::clone(&pdf), index, area, &canvas, limits)?;
    let mut notices = vec![
        Notice::Drawn { at: opening.drawn_at, what: "the PDF page" },
        Notice::PageBox { page_box: opening.page_box, stated: area.stated },
        Notice::DrawnInRgb,
    ];
    if count > 1 {
        notices.push(Notice::FurtherPictures { page: number, pages: Some(count) });
    }
    Ok(Picture {
        file_format: FileFormat::Pdf,
        format: canvas.format(),
        orientation: Orientation::Upright,
        resolution: Some(canvas.resolution()),
        pages: count,
        profile: None,
        notices,
        content_hash,
        rows: DrawnRows::boxed(drawing, canvas),
    })
}

/// Points of a unit (ISO 32000-2, table 31).
fn user_unit(page: &Page<'_>) -> f64 {
    let stated = page.raw().get::<f32>(&b"UserUnit"[..]).map_or(1.0, f64::from);
    if stated.is_finite() && stated > 0.0 { stated } else { 1.0 }
}

fn explain(fault: LoadPdfError) -> IntakeError {
    match fault {
        LoadPdfError::Decryption(DecryptionError::PasswordProtected) => {
            IntakeError::unsupported("a PDF file with a password", "save it without one")
        }
        LoadPdfError::Decryption(_) => {
            IntakeError::unsupported("a PDF file with this encryption", "save it without")
        }
        LoadPdfError::Invalid => corrupt("its objects or pages can't be found"),
    }
}

pub(super) fn corrupt(detail: impl Into<String>) -> IntakeError {
    IntakeError::corrupt(FileFormat::Pdf, detail)
}
