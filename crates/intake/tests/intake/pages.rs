//! Files with several pages or pictures, and drawings without pixels of their own.

use std::fs;
use std::num::NonZeroU32;

use inkfathom_intake::{Notice, Opening, PageBox};
use units::DotsPerInch;

use crate::support::{read, read_as, variant};

fn file(path: &str) -> Vec<u8> {
    fs::read(format!("{}/../../testimages/{path}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

fn page(number: u32) -> Opening {
    Opening { page: NonZeroU32::new(number).unwrap(), ..Opening::default() }
}

#[test]
fn each_page_of_a_tiff_file_can_be_read() {
    let two = file("edge/crop-two-pages.tif");
    let first = read_as(&two, &page(1)).unwrap();
    let second = read_as(&two, &page(2)).unwrap();
    assert_eq!((first.picture.pages, second.picture.pages), (2, 2));
    assert!(first.samples != second.samples);
    assert!(second.picture.notices.contains(&Notice::FurtherPictures { page: 2, pages: Some(2) }));
    let missing = read_as(&two, &page(3)).err().unwrap();
    assert_eq!(variant(&missing), "NoSuchPage");
    assert_eq!(missing.to_string(), "page 3 was asked for, but the TIFF file has 2; choose 1 to 2");
}

#[test]
fn a_second_page_of_a_single_picture_is_refused() {
    for path in ["edge/crop-8.png", "edge/crop-420.jpg", "formats/pdf-shapes.pdf", "edge/crop.bmp"]
    {
        assert_eq!(variant(&read_as(&file(path), &page(2)).err().unwrap()), "NoSuchPage", "{path}");
    }
}

#[test]
fn the_boxes_of_a_page_give_its_size() {
    let document = file("formats/pdf-trim.pdf");
    // The page is turned by a quarter: 120 x 192 points of trim, 144 x 216 of sheet, at 72 dpi.
    for (page_box, sides) in [
        (PageBox::Trim, (120, 192)),
        (PageBox::Media, (144, 216)),
        (PageBox::Crop, (144, 216)),
        (PageBox::Bleed, (144, 216)),
    ] {
        let drawn_at = DotsPerInch::from_dots_per_inch(72.0).unwrap();
        let whole =
            read_as(&document, &Opening { page_box, drawn_at, ..Opening::default() }).unwrap();
        let format = whole.picture.format;
        assert_eq!((format.width, format.height), sides, "{page_box}");
        let stated = page_box != PageBox::Bleed;
        assert!(whole.picture.notices.contains(&Notice::PageBox { page_box, stated }));
    }
}

#[test]
fn a_drawing_in_bands_is_the_drawing_at_once() {
    for path in ["formats/pdf-shapes.pdf", "formats/svg-shapes.svg"] {
        let drawn_at = DotsPerInch::from_dots_per_inch(2400.0).unwrap();
        let opening = Opening { drawn_at, ..Opening::default() };
        let large = read_as(&file(path), &opening).unwrap();
        let small = read(&file(path)).unwrap();
        let mean = |samples: &[u16]| {
            samples.iter().map(|sample| f64::from(*sample)).sum::<f64>() / samples.len() as f64
        };
        // More than one band of 8 megapixels; edges are all that changes with the resolution.
        assert!(large.picture.format.pixels() > 8 << 20, "{path}");
        let difference = mean(&large.samples) - mean(&small.samples);
        assert!(difference.abs() < 0.2, "{path}: {difference}");
    }
}

#[test]
fn a_drawing_states_its_size_in_inches() {
    let svg = read(&file("formats/svg-shapes.svg")).unwrap();
    let across = svg.picture.resolution.unwrap().across.to_dots_per_inch();
    let inches = f64::from(svg.picture.format.width) / across;
    assert!((inches - 1.5).abs() < 0.01, "{inches}");
}
