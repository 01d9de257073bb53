//! The accuracy rule: sums over the census against sums over all pixels.

use inkfathom_census::ColourCensus;

use crate::pictures::{Picture, Scene};
use crate::separation_with_kinks::{CHANNELS, separate};

/// Of the total coverage.
const TOTAL_RULE: f64 = 0.000_5;
/// A channel with at least this share of the total is held to [`CHANNEL_RULE`] of itself.
const SHARE_OF_A_MAJOR_CHANNEL: f64 = 0.01;
const CHANNEL_RULE: f64 = 0.005;
/// Any other channel, of the total.
const MINOR_CHANNEL_RULE: f64 = 0.000_2;

fn per_pixel(picture: &Picture) -> [f64; CHANNELS] {
    let mut sums = [0.0; CHANNELS];
    for colour in picture.colours() {
        add(&mut sums, &separate(&colour), 1.0);
    }
    sums
}

fn per_cell(census: &ColourCensus) -> [f64; CHANNELS] {
    let mut sums = [0.0; CHANNELS];
    for entry in census.entries() {
        let channels = separate(entry.colour.samples());
        add(&mut sums, &channels, entry.pixels as f64);
    }
    sums
}

fn add(sums: &mut [f64; CHANNELS], channels: &[f64; CHANNELS], weight: f64) {
    for (sum, coverage) in sums.iter_mut().zip(channels) {
        *sum += weight * coverage;
    }
}

fn assert_rule(name: &str, picture: &Picture) {
    let truth = per_pixel(picture);
    let found = per_cell(&picture.taken().census);
    let total: f64 = truth.iter().sum();
    let miss = (found.iter().sum::<f64>() - total).abs() / total;
    assert!(miss <= TOTAL_RULE, "{name}: total is off by {miss}");
    for (channel, (found, truth)) in found.iter().zip(truth).enumerate() {
        let allowed = if truth >= SHARE_OF_A_MAJOR_CHANNEL * total {
            CHANNEL_RULE * truth
        } else {
            MINOR_CHANNEL_RULE * total
        };
        let miss = (found - truth).abs();
        assert!(miss <= allowed, "{name}, channel {channel}: {miss} above {allowed}");
    }
}

#[test]
fn sums_over_the_census_keep_the_accuracy_rule_for_8_bits() {
    for scene in Scene::ALL {
        assert_rule(&format!("{scene:?}"), &scene.bytes(480, 320));
    }
}

#[test]
fn sums_over_the_census_keep_the_accuracy_rule_for_16_bits() {
    for scene in Scene::ALL {
        assert_rule(&format!("{scene:?}"), &scene.words(480, 320));
    }
}

#[test]
fn sums_over_the_census_keep_the_accuracy_rule_for_gray() {
    for scene in Scene::ALL {
        assert_rule(&format!("{scene:?}"), &scene.gray(480, 320));
    }
}
