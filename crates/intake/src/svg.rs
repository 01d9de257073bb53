//! SVG: drawn by the `resvg` library. What it would leave out in silence is refused.

mod layers;

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use colour::Orientation;
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{ImageHrefResolver, Options, Tree, roxmltree};

use crate::bytes::Original;
use crate::drawn_rows::{Canvas, Drawing, DrawnRows};
use crate::guarded::guarded;
use crate::{FileFormat, IntakeError, Limits, Notice, Opening, Picture};

/// CSS pixels of an inch (CSS Values and Units, 6.2).
const UNITS_PER_INCH: f64 = 96.0;
/// Largest drawing that is read, in bytes; our choice: it is text, and is held with its tree.
const MOST_BYTES: u64 = 64 << 20;

pub(crate) fn open(
    mut original: Original,
    limits: &Limits,
    opening: &Opening,
) -> Result<Picture, IntakeError> {
    let length = original.length();
    if length > MOST_BYTES {
        return Err(IntakeError::TooLarge {
            quantity: "the SVG file",
            value: length,
            limit: MOST_BYTES,
            unit: "bytes",
            remedy: "save it as PDF, or export its pixels",
        });
    }
    let file = original.first_bytes(length)?;
    let content_hash = original.content_hash()?;
    let text = String::from_utf8(file).map_err(|_| corrupt("it is not UTF-8"))?;
    let tree = guarded(FileFormat::Svg, || {
        check_elements(&text)?;
        tree(&text)
    })?;
    let size = (f64::from(tree.size().width()), f64::from(tree.size().height()));
    let canvas = Canvas::new(FileFormat::Svg, size, UNITS_PER_INCH, opening.drawn_at, limits)?;
    layers::check(&tree, &canvas, limits)?;
    Ok(Picture {
        file_format: FileFormat::Svg,
        format: canvas.format(),
        orientation: Orientation::Upright,
        resolution: Some(canvas.resolution()),
        pages: 1,
        profile: None,
        notices: vec![Notice::Drawn { at: opening.drawn_at, what: "the SVG drawing" }],
        content_hash,
        rows: DrawnRows::boxed(SvgDrawing { tree }, canvas),
    })
}

/// Elements that the renderer passes over.
fn check_elements(text: &str) -> Result<(), IntakeError> {
    let options = roxmltree::ParsingOptions { allow_dtd: true, ..Default::default() };
    let document = roxmltree::Document::parse_with_options(text, options)
        .map_err(|fault| corrupt(fault.to_string()))?;
    if document.root_element().tag_name().name() != "svg" {
        return Err(corrupt("its outermost element is not `svg`"));
    }
    for element in document.descendants().filter(roxmltree::Node::is_element) {
        let refused = match element.tag_name().name() {
            "text" if element.descendants().any(|node| node.text().is_some_and(is_ink)) => {
                Some(("an SVG file with text", "turn the text into paths"))
            }
            "foreignObject" => Some(("an SVG file with foreign objects", "turn them into paths")),
            "image" | "feImage" if !is_data(&element) => {
                Some(("an SVG file that links to pictures", "embed the pictures"))
            }
            "script" | "animate" | "animateTransform" | "set" => {
                Some(("an SVG file that moves", "save a still drawing"))
            }
            _ => None,
        };
        if let Some((what, remedy)) = refused {
            return Err(IntakeError::unsupported(what, remedy));
        }
    }
    Ok(())
}

fn is_ink(text: &str) -> bool {
    !text.trim().is_empty()
}

/// Whether a picture is inside the file, or an effect refers to an element of it.
fn is_data(element: &roxmltree::Node<'_, '_>) -> bool {
    let link = element
        .attributes()
        .find(|attribute| attribute.name() == "href")
        .map_or("", |attribute| attribute.value().trim_start());
    link.is_empty() || link.starts_with("data:") || link.starts_with('#')
}

fn tree(text: &str) -> Result<Tree, IntakeError> {
    let unread = Arc::new(AtomicBool::new(false));
    let told = Arc::clone(&unread);
    let read = ImageHrefResolver::default_data_resolver();
    let mut options = Options {
        image_href_resolver: ImageHrefResolver {
            resolve_data: Box::new(move |kind, bytes, options| {
                let picture = read(kind, bytes, options);
                told.fetch_or(picture.is_none(), Ordering::Relaxed);
                picture
            }),
            // No files are opened here.
            resolve_string: Box::new(|_, _| None),
        },
        ..Options::default()
    };
    options.resources_dir = None;
    let tree = Tree::from_str(text, &options).map_err(|fault| corrupt(fault.to_string()))?;
    if unread.load(Ordering::Relaxed) {
        return Err(corrupt("a picture inside it can't be read"));
    }
    Ok(tree)
}

struct SvgDrawing {
    tree: Tree,
}

impl Drawing for SvgDrawing {
    fn draw(&self, canvas: &Canvas, first_row: u32, rows: u32) -> Result<Vec<u8>, IntakeError> {
        let mut band = Pixmap::new(canvas.width, rows)
            .ok_or_else(|| corrupt("it is too large to be drawn"))?;
        #[expect(clippy::cast_possible_truncation, reason = "the renderer computes in f32")]
        #[expect(clippy::cast_precision_loss, reason = "rows are below 2^16")]
        let (scale, above) = (canvas.scale as f32, -(first_row as f32));
        let transform = Transform::from_scale(scale, scale).post_translate(0.0, above);
        guarded(FileFormat::Svg, || {
            resvg::render(&self.tree, transform, &mut band.as_mut());
            Ok(band.take())
        })
    }
}

fn corrupt(detail: impl Into<String>) -> IntakeError {
    IntakeError::corrupt(FileFormat::Svg, detail)
}
