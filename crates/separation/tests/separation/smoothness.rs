//! Neighbouring colours get neighbouring separations.
//!
//! Where light inks cross over, and where a set's mixtures of one colour change from one kind to
//! another at the edge of the gamut, some steps are longer than wanted; the tests hold what has
//! been reached.

use crate::support::{Random, separation, set};
use colour::Lab;
use inkfathom_separation::Separation;

/// Most that a full-strength channel may move over a step of ΔE*ab 1.
const FULL_STRENGTH: f64 = 0.05;
/// Most that a light channel may move.
const LIGHT: f64 = 0.10;

/// What the longest steps of a set's channels were.
struct Steps {
    full: f64,
    light: f64,
    steps: usize,
    over: usize,
}

#[test]
fn channels_move_gently_along_hue_circles_and_lines() {
    for (name, allowed_share) in [("five", 0.005), ("nine", 0.05), ("eleven", 0.07)] {
        let separation = separation(name);
        let light: Vec<bool> = set(name).inks.iter().map(|ink| !ink.is_full_strength()).collect();
        let mut steps = Steps { full: 0.0, light: 0.0, steps: 0, over: 0 };
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
            "{name}: longest step full {:.3}, light {:.3}; {} of {} steps over",
            steps.full, steps.light, steps.over, steps.steps
        );
        assert!(share <= allowed_share, "{name}: {share} of the steps are too long");
    }
}

fn walk(
    separation: &Separation,
    light: &[bool],
    count: usize,
    place: &dyn Fn(usize) -> Lab,
    steps: &mut Steps,
) {
    let mut last = separation.separate(place(0)).coverages;
    for step in 1..=count {
        let next = separation.separate(place(step)).coverages;
        let mut over = false;
        for (channel, (one, other)) in last.iter().zip(next.iter()).enumerate() {
            let moved = (one.to_fraction() - other.to_fraction()).abs();
            let (longest, allowed) = if light[channel] {
                (&mut steps.light, LIGHT)
            } else {
                (&mut steps.full, FULL_STRENGTH)
            };
            *longest = longest.max(moved);
            over |= moved > allowed;
        }
        steps.steps += 1;
        steps.over += usize::from(over);
        last = next;
    }
}

/// Number of steps of at most 1 over a length.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "under 1000 steps")]
fn whole(length: f64) -> usize {
    length.ceil().max(1.0) as usize
}
