use std::sync::LazyLock;

use crate::pictures::{BLOSSOM, BRUSHES, SHORE, WHITE_PAGE};
use crate::program::{Document, inkfathom, list, number};

const TRANSPARENT: &str = "testimages/edge/crop-fully-transparent.png";
const FIVE_AND_ELEVEN: [&str; 4] = ["--ink-set", "five", "--ink-set", "eleven"];

/// The promise: twice each side is four times the ink.
const PROPORTIONAL: f64 = 1e-9;
/// Sums and quotients of doubles differ by the last bits.
const ROUNDING: f64 = 1e-12;

static COMPARISON: LazyLock<Document> = LazyLock::new(|| {
    let files = ["compare", WHITE_PAGE, TRANSPARENT, BLOSSOM, BRUSHES];
    let form = ["--width", "60cm", "--format", "json"];
    inkfathom(files.into_iter().chain(form).chain(FIVE_AND_ELEVEN)).ending_with(0).document()
});

fn estimate(further: &[&str]) -> Document {
    let arguments = ["estimate", SHORE, BLOSSOM, "--format", "json"];
    inkfathom(arguments.into_iter().chain(further.iter().copied())).ending_with(0).document()
}

fn millilitres(document: &Document, name: &str) -> Vec<f64> {
    let channels = list(&document.estimate(name, 0)["channels"]);
    channels.iter().map(|channel| number(&channel["ml"])).collect()
}

fn assert_times(factor: f64, one: &[f64], other: &[f64], tolerance: f64) {
    assert!(one.iter().sum::<f64>() > 0.0);
    for (one, other) in one.iter().zip(other) {
        let off = (factor * one - other).abs();
        assert!(off <= tolerance * other, "{one} ml by {factor} is not {other} ml");
    }
}

#[test]
fn a_white_or_transparent_page_takes_exactly_nothing_of_every_ink() {
    for page in [WHITE_PAGE, TRANSPARENT] {
        for (set, inks) in [(0, 5), (1, 11)] {
            let estimate = COMPARISON.estimate(page, set);
            let channels = list(&estimate["channels"]);
            assert_eq!(channels.len(), inks);
            for channel in channels {
                for key in ["ml", "ml_low", "ml_high", "coverage"] {
                    assert_eq!(channel[key], 0.0, "{page}, {key} of {channel}");
                }
            }
            assert_eq!(estimate["total_ml"], 0.0);
            assert_eq!(estimate["highest_load_ml_per_m2"], 0.0);
        }
        assert!(COMPARISON.file(page)["savings"][0]["percent"].is_null());
    }
}

#[test]
fn twice_each_side_takes_four_times_the_ink() {
    let (small, large) = (estimate(&["--width", "30cm"]), estimate(&["--width", "60cm"]));
    for picture in [SHORE, BLOSSOM] {
        let (small, large) = (millilitres(&small, picture), millilitres(&large, picture));
        assert_times(4.0, &small, &large, PROPORTIONAL);
    }
}

#[test]
fn three_copies_take_three_times_the_ink_and_the_area() {
    let one = estimate(&["--height", "20in"]);
    let three = estimate(&["--height", "20in", "--copies", "3"]);
    for picture in [SHORE, BLOSSOM] {
        assert_times(3.0, &millilitres(&one, picture), &millilitres(&three, picture), ROUNDING);
        let area = |document: &Document| number(&document.estimate(picture, 0)["area_m2"]);
        assert_times(3.0, &[area(&one)], &[area(&three)], ROUNDING);
    }
}

#[test]
fn a_saving_over_several_pictures_is_the_ratio_of_the_totals() {
    let total = |set| -> f64 {
        [BLOSSOM, BRUSHES]
            .iter()
            .map(|name| number(&COMPARISON.estimate(name, set)["total_ml"]))
            .sum()
    };
    let of_totals = 100.0 * (1.0 - total(0) / total(1));
    let of_picture = |name| number(&COMPARISON.file(name)["savings"][0]["percent"]);
    let mean = (of_picture(BLOSSOM) + of_picture(BRUSHES)) / 2.0;
    assert!((of_totals - mean).abs() > 0.1, "these pictures can't tell a ratio from a mean");
    let stated = number(&COMPARISON.0["savings"][0]["percent"]);
    assert!((stated - of_totals).abs() <= 1e-9, "{stated} %, not {of_totals} %");
}

#[test]
fn a_set_takes_the_same_ink_alone_as_in_a_comparison() {
    let alone = inkfathom(["estimate", BLOSSOM, "--width", "60cm", "--format", "json"]);
    let alone = alone.ending_with(0).document();
    let mut compared = COMPARISON.estimate(BLOSSOM, 0).clone();
    for of_comparisons in ["verdict", "load_histogram"] {
        assert!(compared.as_object_mut().unwrap().remove(of_comparisons).is_some());
    }
    assert_eq!(alone.estimate(BLOSSOM, 0), &compared);
}
