//! How far channels move over small steps of colour. The long proofs of `benches` count them too.
//!
//! A *crossover* is documented: where a family prints with two of its inks at once, a lighter one
//! gives way to the next darker one, and both move much further than the tone. There the tint
//! of the family is held to the limit in place of its channels.

use crate::support::Random;
use colour::{BANDS, Lab};
use inkfathom_separation::{ChannelCoverages, Separation};
use inkset::InkSet;
use units::Coverage;

/// Most that a full-strength channel may move over a step of ΔE*ab 1.
const FULL_STRENGTH: f64 = 0.05;
/// Most that a light channel may move.
const LIGHT: f64 = 0.10;

/// What the longest steps of a set's channels outside crossovers were, and of tints inside.
#[derive(Default)]
pub(crate) struct Steps {
    pub(crate) full: f64,
    pub(crate) light: f64,
    pub(crate) tint: f64,
    pub(crate) steps: usize,
    pub(crate) over: usize,
}

impl Steps {
    /// Along 24 hue circles and 100 random lines, in steps of ΔE*ab 1.
    pub(crate) fn along_circles_and_lines(separation: &Separation, set: &InkSet) -> Self {
        let light: Vec<bool> = set.inks.iter().map(|ink| !ink.is_full_strength()).collect();
        let mut steps = Self::default();
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
        steps
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
