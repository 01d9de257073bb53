//! Neighbouring colours get neighbouring separations.
//!
//! A *crossover* is documented: where a family prints with two of its inks at once, a lighter one
//! gives way to the next darker one, and both move much further than the tone. There the tint
//! of the family is held to the limit in place of its channels.
//!
//! What is left over the limits on eleven inks are dark saturated colours next to the gamut's
//! edge: under much black a step of ΔE*ab 1 needs more of a chromatic ink than elsewhere.

use crate::support::{Random, separation, set};
use colour::{BANDS, Lab};
use inkfathom_separation::{ChannelCoverages, Separation};
use units::Coverage;

/// Most that a full-strength channel may move over a step of ΔE*ab 1.
const FULL_STRENGTH: f64 = 0.05;
/// Most that a light channel may move.
const LIGHT: f64 = 0.10;
/// Share of the steps that may move one channel further, and how far, by ink set.
const FURTHER: [(&str, f64, f64); 3] =
    [("five", 0.0, 0.05), ("nine", 0.002, 0.11), ("eleven", 0.015, 0.17)];

/// What the longest steps of a set's channels outside crossovers were, and of tints inside.
struct Steps {
    full: f64,
    light: f64,
    tint: f64,
    steps: usize,
    over: usize,
}

#[test]
fn channels_move_gently_along_hue_circles_and_lines() {
    for (name, share_further, furthest) in FURTHER {
        let separation = separation(name);
        let light: Vec<bool> = set(name).inks.iter().map(|ink| !ink.is_full_strength()).collect();
        let mut steps = Steps { full: 0.0, light: 0.0, tint: 0.0, steps: 0, over: 0 };
        for circle in 0..24 {
            let (l, chroma) =
                (20.0 + 10.0 * f64::from(circle / 3), 15.0 + 15.0 * f64::from(circle % 3));
            let count = whole(2.0 * std::f64::consts::PI * chroma);
            let place = |step: usize| {
                let angle = 2.0 * std::f64::consts::PI * step as f64 / count as f64;
                Lab { l, a: chroma * angle.cos(), b: chroma * angle.sin() }
            };
            walk(separation, &light, count, &place, &mut steps);
        }
        let mut random = Random::new(11);
        for _ in 0..100 {
            let (from, to) = (random.picture_colour(), random.picture_colour());
            let length = whole(colour::delta_e_ab(from, to));
            let mix = |step: usize| {
                let t = step as f64 / length as f64;
                Lab {
                    l: from.l + t * (to.l - from.l),
                    a: from.a + t * (to.a - from.a),
                    b: from.b + t * (to.b - from.b),
                }
            };
            walk(separation, &light, length, &mix, &mut steps);
        }
        let share = steps.over as f64 / steps.steps as f64;
        println!(
            "{name}: longest step full {:.3}, light {:.3}, tint {:.3}; {} of {} steps over",
            steps.full, steps.light, steps.tint, steps.over, steps.steps
        );
        assert!(share <= share_further, "{name}: {share} of the steps are too long");
        assert!(steps.full.max(steps.light).max(steps.tint) <= furthest, "{name}");
    }
}

fn walk(
    separation: &Separation,
    light: &[bool],
    count: usize,
    place: &dyn Fn(usize) -> Lab,
    steps: &mut Steps,
) {
    let model = separation.model();
    let mut last = separation.separate(place(0)).coverages;
    for step in 1..=count {
        let next = separation.separate(place(step)).coverages;
        let mut over = false;
        for family in 0..model.families() {
            let channels = model.family_channels(family);
            if crosses_over(channels, &last) || crosses_over(channels, &next) {
                let moved =
                    (tint(separation, family, &last) - tint(separation, family, &next)).abs();
                steps.tint = steps.tint.max(moved);
                over |= moved > FULL_STRENGTH;
                continue;
            }
            for &channel in channels {
                let moved = (last[channel].to_fraction() - next[channel].to_fraction()).abs();
                let (longest, allowed) = if light[channel] {
                    (&mut steps.light, LIGHT)
                } else {
                    (&mut steps.full, FULL_STRENGTH)
                };
                *longest = longest.max(moved);
                over |= moved > allowed;
            }
        }
        steps.steps += 1;
        steps.over += usize::from(over);
        last = next;
    }
}

/// Whether two inks of a family print at once.
fn crosses_over(channels: &[usize], coverages: &ChannelCoverages) -> bool {
    channels.iter().filter(|&&channel| coverages[channel].to_fraction() > 0.0).count() > 1
}

/// The effective coverage of a family, as a mean over the bands.
fn tint(separation: &Separation, family: usize, coverages: &ChannelCoverages) -> f64 {
    let model = separation.model();
    let inks: Vec<Coverage> =
        model.family_channels(family).iter().map(|&channel| coverages[channel]).collect();
    let tint = model.tint(family, &inks);
    tint.bands().iter().sum::<f64>() / BANDS as f64
}

/// Number of steps of at most 1 over a length.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "under 1000 steps")]
fn whole(length: f64) -> usize {
    length.ceil().max(1.0) as usize
}
