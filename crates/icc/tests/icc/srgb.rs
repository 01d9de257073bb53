//! sRGB against two independent computations, and gray against the formula.

use colour::{Lab, Xyz, delta_e_ab};
use inkfathom_icc::{RenderingIntent, SourceProfile, SourceTransform};
use proptest::prelude::*;

use crate::srgb_oracle::SRGB_TO_LAB;

/// The transform works in 32-bit floats: 2⁻²⁴ of 255 in a* and b*, times a few steps.
const SINGLE_PRECISION: f64 = 1e-4;
/// The published colorants have seven decimals, but for a white of X 0.96422 and Z 0.82521.
const OTHER_DIGITS_OF_THE_WHITE: f64 = 0.05;

/// D50 colorants of sRGB by Bradford adaptation: B. Lindbloom, "RGB/XYZ Matrices", sRGB D50.
const COLORANTS: [[f64; 3]; 3] = [
    [0.436_074_7, 0.385_064_9, 0.143_080_4],
    [0.222_504_5, 0.716_878_6, 0.060_616_9],
    [0.013_932_2, 0.097_104_5, 0.714_173_3],
];
const WHITE_OF_THE_COLORANTS: Xyz = Xyz { x: 96.422, y: 100.0, z: 82.521 };

fn transform(profile: &SourceProfile, intent: RenderingIntent) -> SourceTransform {
    SourceTransform::new(profile, intent).unwrap()
}

fn lab_of(rgb: [f64; 3]) -> Lab {
    let srgb = transform(&SourceProfile::srgb(), RenderingIntent::RelativeColorimetric);
    srgb.to_lab(&rgb).unwrap()[0]
}

/// IEC 61966-2-1, clause 5.2.
fn light(sample: f64) -> f64 {
    if sample <= 0.04045 { sample / 12.92 } else { ((sample + 0.055) / 1.055).powf(2.4) }
}

fn by_formula(rgb: [f64; 3]) -> Lab {
    let light = rgb.map(light);
    let [x, y, z] = COLORANTS
        .map(|row| 100.0 * row.iter().zip(light).map(|(part, light)| part * light).sum::<f64>());
    Xyz { x, y, z }.to_lab(WHITE_OF_THE_COLORANTS)
}

#[test]
fn srgb_agrees_with_an_independent_library() {
    for (rgb, [l, a, b]) in SRGB_TO_LAB {
        let expected = Lab { l: *l, a: *a, b: *b };
        let difference = delta_e_ab(lab_of(*rgb), expected);
        assert!(difference < SINGLE_PRECISION, "{rgb:?}: {difference}");
    }
}

proptest! {
    #[test]
    fn srgb_agrees_with_the_published_formula(rgb in prop::array::uniform3(0.0..=1.0_f64)) {
        let difference = delta_e_ab(lab_of(rgb), by_formula(rgb));
        prop_assert!(difference < OTHER_DIGITS_OF_THE_WHITE, "{difference}");
    }

    #[test]
    fn gray_is_neutral_and_as_light_as_the_srgb_curve_says(sample in 0.0..=1.0_f64) {
        let gray = transform(&SourceProfile::gray(), RenderingIntent::Perceptual);
        let found = gray.to_lab(&[sample]).unwrap()[0];
        let y = 100.0 * light(sample);
        let expected = Xyz { x: 0.9642 * y, y, z: 0.8249 * y }.to_lab(Xyz::PCS_WHITE);
        prop_assert!(delta_e_ab(found, expected) < SINGLE_PRECISION, "{found}, not {expected}");
    }

    #[test]
    fn encoding_a_colour_of_srgb_gives_its_numbers_back(
        rgb in prop::array::uniform3(0.0..=1.0_f64),
    ) {
        /// 8-bit samples are what a backdrop is for: a tenth of their step is enough.
        const TENTH_OF_A_BYTE: f64 = 0.1 / 255.0;
        let srgb = transform(&SourceProfile::srgb(), RenderingIntent::AbsoluteColorimetric);
        let lab = srgb.to_lab(&rgb).unwrap()[0];
        for (found, expected) in srgb.from_lab(lab).unwrap().iter().zip(rgb) {
            prop_assert!((found - expected).abs() < TENTH_OF_A_BYTE, "{found} for {expected}");
        }
    }
}

#[test]
fn white_of_the_built_in_profiles_is_media_white_under_every_intent() {
    /// What the documentation promises.
    const PROMISED: f64 = 1e-4;
    for intent in [
        RenderingIntent::Perceptual,
        RenderingIntent::RelativeColorimetric,
        RenderingIntent::AbsoluteColorimetric,
    ] {
        for (profile, white) in
            [(SourceProfile::srgb(), vec![1.0; 3]), (SourceProfile::gray(), vec![1.0])]
        {
            let found = transform(&profile, intent).to_lab(&white).unwrap()[0];
            let difference = delta_e_ab(found, Lab::WHITE);
            assert!(difference < PROMISED, "{} {intent}: {difference}", profile.description());
        }
    }
}

#[test]
fn a_colour_beyond_the_encoding_is_cut_to_it() {
    let srgb = transform(&SourceProfile::srgb(), RenderingIntent::AbsoluteColorimetric);
    let encoded = srgb.from_lab(Lab { l: 60.0, a: -120.0, b: 100.0 }).unwrap();
    assert!(encoded.iter().all(|sample| (0.0..=1.0).contains(sample)), "{encoded:?}");
    assert_eq!(encoded[0], 0.0);
}
