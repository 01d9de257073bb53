use std::sync::LazyLock;

use crate::pictures::SHORE;
use crate::program::{Document, Run, assumptions, inkfathom, number, text};

/// Exact in millimetres but for the last bits.
const ROUNDING_MM: f64 = 1e-9;

/// Millimetres of an inch.
const INCH: f64 = 25.4;

/// Files whose resolution is stated in different ways, and one that states none.
static WITHOUT_A_SIZE: LazyLock<Run> = LazyLock::new(|| {
    let files = [
        "crop-300-dpi.png",
        "crop-300-by-150-dpi.png",
        "crop-300-dpi.tif",
        "crop-100-per-cm.tif",
        "crop-jfif-300-dpi.jpg",
        "crop-jfif-118-per-cm.jpg",
        "crop-exif-240-dpi.jpg",
        "crop-aspect-only.png",
        "crop-no-unit.tif",
        "crop-8.png",
    ]
    .map(|name| format!("testimages/edge/{name}"));
    let arguments = ["estimate", "--format", "json"].into_iter();
    inkfathom(arguments.chain(files.iter().map(String::as_str))).ending_with(3)
});

fn size_mm(document: &Document, name: &str) -> [f64; 2] {
    ["width_mm", "height_mm"].map(|key| number(&document.estimate(name, 0)[key]))
}

fn assert_size(found: [f64; 2], expected: [f64; 2], tolerance: f64) {
    let near = (0..2).all(|side| (found[side] - expected[side]).abs() <= tolerance);
    assert!(near, "{found:?} mm, not {expected:?} mm");
}

fn estimate_shore(size: &[&str]) -> Run {
    let arguments = ["estimate", SHORE, "--format", "json"];
    inkfathom(arguments.into_iter().chain(size.iter().copied()))
}

#[test]
fn without_a_wanted_size_the_resolution_of_the_file_counts() {
    let document = WITHOUT_A_SIZE.document();
    let at = |across: f64, along: f64| [200.0 / across * INCH, 150.0 / along * INCH];
    // PNG states whole dots per metre: 11,811 are 299.9994 dpi, 5,906 are 150.012.
    let whole_dots_per_metre = 0.003;
    for (name, expected, tolerance) in [
        ("crop-300-dpi.png", at(300.0, 300.0), whole_dots_per_metre),
        ("crop-300-by-150-dpi.png", at(300.0, 150.0), whole_dots_per_metre),
        ("crop-300-dpi.tif", at(300.0, 300.0), ROUNDING_MM),
        ("crop-100-per-cm.tif", [20.0, 15.0], ROUNDING_MM),
        ("crop-jfif-300-dpi.jpg", at(300.0, 300.0), ROUNDING_MM),
        ("crop-jfif-118-per-cm.jpg", [2000.0 / 118.0, 1500.0 / 118.0], ROUNDING_MM),
        ("crop-exif-240-dpi.jpg", at(240.0, 240.0), ROUNDING_MM),
    ] {
        assert_size(size_mm(&document, name), expected, tolerance);
        let notes = assumptions(document.estimate(name, 0), "note");
        assert!(notes.iter().any(|note| note.contains("from the file's resolution")), "{notes:?}");
    }
}

#[test]
fn without_any_size_the_error_says_what_to_pass() {
    let document = WITHOUT_A_SIZE.document();
    for name in ["crop-aspect-only.png", "crop-no-unit.tif", "crop-8.png"] {
        let error = text(&document.file(name)["error"]);
        assert!(error.contains("pass --width or --height"), "{error}");
        assert!(error.contains("--width 60cm"), "{error}");
        assert_eq!(WITHOUT_A_SIZE.messages_with(name).count(), 1);
    }
}

#[test]
fn one_wanted_side_keeps_the_shape_of_the_upright_picture() {
    let turned = "testimages/edge/crop-orientation-6.tif";
    let uneven = "testimages/edge/crop-300-by-150-dpi.png";
    let arguments = ["estimate", turned, uneven, "--width", "60cm", "--format", "json"];
    let document = inkfathom(arguments).ending_with(0).document();
    assert_size(size_mm(&document, turned), [600.0, 450.0], ROUNDING_MM);
    // Pixels twice as high as wide, but for the whole dots per metre of PNG.
    assert_size(size_mm(&document, uneven), [600.0, 900.0], 0.2);
}

#[test]
fn a_box_of_another_shape_is_filled_and_loudly_said() {
    let run = estimate_shore(&["--width", "600mm", "--height", "20in"]).ending_with(0);
    let document = run.document();
    assert_size(size_mm(&document, SHORE), [508.0, 508.0], ROUNDING_MM);
    let warnings = assumptions(document.estimate(SHORE, 0), "warning");
    assert!(warnings.iter().any(|warning| warning.contains("fitted inside")), "{warnings:?}");
    assert_eq!(run.messages_with("fitted inside as 50.8 cm × 50.8 cm").count(), 1);
}

#[test]
fn a_box_of_the_same_shape_is_taken_in_silence() {
    let run = estimate_shore(&["--width", "0.6m", "--height", "60 cm"]).ending_with(0);
    assert_eq!(run.messages, "");
}

#[test]
fn a_side_that_no_device_prints_is_refused_with_the_range() {
    for width in ["500m", "0.1mm", "0cm"] {
        let run = estimate_shore(&["--width", width]).ending_with(4);
        assert_eq!(run.messages_with("outside 0.001 to 100 m").count(), 1, "{}", run.messages);
    }
}

#[test]
fn a_length_without_sense_is_refused_before_anything_is_read() {
    for (width, remedy) in [
        ("60", "60cm, 600mm, 0.6m or 24in"),
        ("60 ells", "60cm, 600mm, 0.6m or 24in"),
        ("2000m", "outside 0 to 1000 m"),
        ("NaNcm", "60cm"),
    ] {
        let run = estimate_shore(&["--width", width]).ending_with(2);
        assert!(run.messages.contains(remedy), "{width}: {}", run.messages);
        assert_eq!(run.data, "");
    }
}
