//! What each intent makes of black, white and the white point tag.

use colour::{ColourModel, Lab, Xyz, delta_e_ab};
use inkfathom_icc::{IccError, RenderingIntent, SourceProfile, SourceTransform};

use crate::made_profiles::{MadeProfile, corners, display, gray, scanner};

/// Half a step of a table of 16 bits: 100 / 65,280 in L*, 1/256 in a* and b*.
const STEP_OF_A_TABLE: f64 = 0.5 / 256.0 + 1e-3;
/// Half a step of an s15Fixed16Number in XYZ, times the slope of 500 in a* near white.
const STEP_OF_A_COLORANT: f64 = 0.01;

const BLACK_OF_PICTURES: Lab = Lab { l: 5.0, a: 1.0, b: -2.0 };
const BLACK_AS_MEASURED: Lab = Lab { l: 12.0, a: 4.0, b: 3.0 };

fn transform(made: &MadeProfile, intent: RenderingIntent) -> SourceTransform {
    let model = if &made.colour_space == b"GRAY" { ColourModel::Gray } else { ColourModel::Rgb };
    let profile = SourceProfile::parse(&made.bytes(), model).unwrap();
    SourceTransform::new(&profile, intent).unwrap()
}

fn two_rendering_scanner() -> MadeProfile {
    scanner(&corners(BLACK_OF_PICTURES), &corners(BLACK_AS_MEASURED))
}

fn assert_colour(found: Lab, expected: Lab, tolerance: f64) {
    let difference = delta_e_ab(found, expected);
    assert!(difference < tolerance, "{found}, not {expected}");
}

#[test]
fn each_intent_uses_its_own_table() {
    for (intent, black) in [
        (RenderingIntent::Perceptual, BLACK_OF_PICTURES),
        (RenderingIntent::RelativeColorimetric, BLACK_AS_MEASURED),
    ] {
        let scanner = transform(&two_rendering_scanner(), intent);
        let found = scanner.to_lab(&[0.0, 0.0, 0.0, 1.0, 1.0, 1.0]).unwrap();
        assert_colour(found[0], black, STEP_OF_A_TABLE);
        assert_colour(found[1], Lab::WHITE, STEP_OF_A_TABLE);
    }
}

#[test]
fn black_is_not_lifted_by_perceptual_rendering_of_version_4() {
    // The colour management library would, if both ends said version 4.
    let mut scanner = two_rendering_scanner();
    scanner.version = 4;
    let mut screen = display(2.2);
    screen.version = 4;
    let black = transform(&scanner, RenderingIntent::Perceptual).to_lab(&[0.0; 3]).unwrap()[0];
    assert_colour(black, BLACK_OF_PICTURES, STEP_OF_A_TABLE);
    let black = transform(&screen, RenderingIntent::Perceptual).to_lab(&[0.0; 3]).unwrap()[0];
    assert_colour(black, Lab { l: 0.0, ..Lab::WHITE }, STEP_OF_A_COLORANT);
}

#[test]
fn the_absolute_intent_keeps_the_white_of_the_original() {
    let paper = [0.80, 0.83, 0.60];
    let [x, y, z] = paper.map(|value| 100.0 * value);
    let expected = Xyz { x, y, z }.to_lab(Xyz::PCS_WHITE);
    let scanner = two_rendering_scanner().with_white(paper);
    let white = |intent| transform(&scanner, intent).to_lab(&[1.0; 3]).unwrap()[0];
    assert_colour(white(RenderingIntent::AbsoluteColorimetric), expected, STEP_OF_A_COLORANT);
    assert_colour(white(RenderingIntent::RelativeColorimetric), Lab::WHITE, STEP_OF_A_TABLE);
}

#[test]
fn white_of_an_embedded_display_profile_is_media_white() {
    /// The colorants that most sRGB profiles carry sum to 0.96429, 0.99997, 0.8251.
    const SUM_OF_COMMON_COLORANTS: f64 = 0.035;
    let white = transform(&display(2.2), RenderingIntent::Perceptual).to_lab(&[1.0; 3]).unwrap();
    assert_colour(white[0], Lab::WHITE, SUM_OF_COMMON_COLORANTS);
}

#[test]
fn a_gray_profile_follows_its_curve() {
    let gray = transform(&gray(2.0), RenderingIntent::RelativeColorimetric);
    let y = 100.0 * 0.5_f64.powi(2);
    let expected = Xyz { x: 0.9642 * y, y, z: 0.8249 * y }.to_lab(Xyz::PCS_WHITE);
    assert_colour(gray.to_lab(&[0.5]).unwrap()[0], expected, STEP_OF_A_COLORANT);
    assert_eq!(gray.from_lab(expected).unwrap().len(), 1);
}

#[test]
fn the_black_point_is_the_neutral_of_the_darkest_encoding() {
    for (intent, black) in [
        (RenderingIntent::Perceptual, BLACK_OF_PICTURES),
        (RenderingIntent::RelativeColorimetric, BLACK_AS_MEASURED),
    ] {
        let found = transform(&two_rendering_scanner(), intent).black_point().unwrap().unwrap();
        assert_colour(found, Lab { l: black.l, a: 0.0, b: 0.0 }, STEP_OF_A_TABLE);
        assert_eq!((found.a, found.b), (0.0, 0.0));
    }
}

#[test]
fn a_black_above_the_middle_counts_as_the_middle() {
    let pale = corners(Lab { l: 70.0, a: 0.0, b: 0.0 });
    let pale = transform(&scanner(&pale, &pale), RenderingIntent::Perceptual);
    assert_eq!(pale.black_point().unwrap(), Some(Lab { l: 50.0, a: 0.0, b: 0.0 }));
}

#[test]
fn black_point_compensation_is_not_defined_for_the_absolute_intent() {
    let absolute = transform(&two_rendering_scanner(), RenderingIntent::AbsoluteColorimetric);
    assert_eq!(absolute.black_point().unwrap(), None);
}

#[test]
fn black_points_are_as_light_as_those_of_the_colour_management_library() {
    // It works in 16 bits and keeps the tint of black; lightness is found in the same way.
    const STEP_OF_16_BITS: f64 = 100.0 / 65280.0;
    for made in [two_rendering_scanner(), display(2.2), gray(1.8)] {
        let opened = lcms2::Profile::new_icc(&made.bytes()).unwrap();
        for (ours, theirs) in [
            (RenderingIntent::Perceptual, lcms2::Intent::Perceptual),
            (RenderingIntent::RelativeColorimetric, lcms2::Intent::RelativeColorimetric),
        ] {
            let xyz = opened.detect_black_point(theirs).unwrap();
            let (x, y, z) = (100.0 * xyz.X, 100.0 * xyz.Y, 100.0 * xyz.Z);
            let expected = Xyz { x, y, z }.to_lab(Xyz::PCS_WHITE).l;
            let found = transform(&made, ours).black_point().unwrap().unwrap().l;
            assert!((found - expected).abs() <= STEP_OF_16_BITS, "{found}, not {expected}");
        }
    }
}

#[test]
fn there_is_no_way_back_without_a_table_for_it_or_by_perceptual_rendering() {
    let no_table = transform(&two_rendering_scanner(), RenderingIntent::AbsoluteColorimetric);
    let perceptual = transform(&display(2.2), RenderingIntent::Perceptual);
    for transform in [no_table, perceptual] {
        let refused = transform.from_lab(Lab::WHITE).unwrap_err();
        assert!(matches!(refused, IccError::NoWayBack { .. }), "{refused}");
        assert!(refused.to_string().contains("hand-made"), "{refused}");
    }
}
