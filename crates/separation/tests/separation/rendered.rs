//! Colours that are separated side by side come out as they do one by one.

use std::sync::Arc;

use crate::support::{Random, by_policy, separation};
use colour::{Lab, Xyz, delta_e_ab};
use inkfathom_separation::{
    GamutBoundary, GamutCompression, InkPolicy, Rendering, Separation, Toning,
};

/// Real and unreal colours, white and its neighbours, and black.
fn colours() -> Vec<Lab> {
    let mut random = Random::new(11);
    let neutrals = [0.0, 1.0, 98.9, 99.93, 99.97, 100.0, 101.0];
    let neutrals = neutrals.map(|l| Lab { l, a: 0.01, b: -0.01 });
    let pictures: Vec<Lab> = (0..2000).map(|_| random.picture_colour()).collect();
    let any: Vec<Lab> = (0..500).map(|_| random.any_colour()).collect();
    [pictures, any, neutrals.to_vec()].concat()
}

fn assert_same(separation: &Separation, rendering: &Rendering) {
    let colours = colours();
    let side_by_side = separation.separate_rendered(&colours, rendering);
    assert_eq!(side_by_side.len(), colours.len());
    for (colour, together) in colours.iter().zip(side_by_side) {
        let alone = separation.separate(rendering.target(*colour));
        for (one, other) in together.coverages.iter().zip(alone.coverages.iter()) {
            let apart = (one.to_fraction() - other.to_fraction()).abs();
            assert!(apart < 1e-9, "{colour} with {rendering:?}: {apart}");
        }
        assert_eq!(together.limited, alone.limited, "{colour} with {rendering:?}");
    }
}

#[test]
fn every_rendering_separates_many_colours_as_one_by_one() {
    let black = |l| Lab { l, a: 0.0, b: 0.0 };
    for name in ["five", "eleven"] {
        let separation = separation(name);
        let darkest = separation.darkest_neutral();
        let absolute = Rendering::Absolute {
            paper: separation.model().paper_xyz(),
            diffuser: Xyz { x: 96.42, y: 100.0, z: 82.49 },
        };
        let compensated = [0.0, 6.0, 30.0]
            .map(|l| Rendering::BlackPointCompensated { source_black: black(l), darkest });
        let ball = |reach: f64| {
            GamutBoundary::of_set(move |colour| delta_e_ab(colour, black(50.0)) < reach)
        };
        let perceptual = Rendering::Perceptual {
            source_black: black(6.0),
            darkest,
            compression: Arc::new(GamutCompression::new(ball(80.0), ball(50.0))),
        };
        let others = [&Rendering::Relative, &absolute, &perceptual];
        for rendering in compensated.iter().chain(others) {
            assert_same(separation, rendering);
        }
    }
}

#[test]
fn a_toned_print_is_toned_side_by_side_too() {
    let toning = Toning::new(2.0, -3.0).unwrap();
    assert_same(&by_policy("five", InkPolicy::Monochrome(toning)), &Rendering::Relative);
}
