//! A search for the nearest printable colour that shares nothing with the separation but the print
//! model. The long proofs of `benches` use it too.

use crate::support::{Random, coverages, load_and_total};
use colour::{Lab, delta_e_00};
use inkfathom_separation::Separation;
use units::Coverage;

/// The least ΔE00 that a random search with shrinking steps finds over all channels.
pub(crate) fn brute_force(separation: &Separation, target: Lab, random: &mut Random) -> f64 {
    let channels = separation.model().channels();
    let cost = |values: &[f64]| {
        let within = scaled_within_limits(separation, values);
        delta_e_00(target, separation.model().predict(&within))
    };
    let mut starts: Vec<(f64, Vec<f64>)> = (0..3000)
        .map(|_| {
            let sparse = random.unit();
            let values: Vec<f64> = (0..channels)
                .map(|_| if random.unit() < sparse { random.unit() } else { 0.0 })
                .collect();
            (cost(&values), values)
        })
        .collect();
    starts.sort_by(|one, other| one.0.total_cmp(&other.0));
    starts
        .into_iter()
        .take(4)
        .map(|(cost_at_start, values)| descend(&cost, values, cost_at_start, random))
        .fold(f64::INFINITY, f64::min)
}

/// Random steps that shrink when they stop helping.
fn descend(
    cost: &dyn Fn(&[f64]) -> f64,
    mut values: Vec<f64>,
    mut best: f64,
    random: &mut Random,
) -> f64 {
    let mut step = 0.3;
    while step > 1e-3 {
        let mut improved = false;
        for _ in 0..8 * values.len() {
            let next: Vec<f64> = values
                .iter()
                .map(|value| {
                    let moves = random.unit() < 0.4;
                    let by = if moves { step * (2.0 * random.unit() - 1.0) } else { 0.0 };
                    (value + by).clamp(0.0, 1.0)
                })
                .collect();
            let reached = cost(&next);
            if reached < best {
                (best, values, improved) = (reached, next, true);
            }
        }
        if !improved {
            step *= 0.5;
        }
    }
    best
}

/// Scales all channels so that the substrate's load and total hold; written apart from the code
/// under test.
fn scaled_within_limits(separation: &Separation, values: &[f64]) -> Vec<Coverage> {
    let limits = separation.limits();
    let (load, total) = load_and_total(separation, values);
    let factor = (limits.load().to_millilitres_per_square_metre() / load)
        .min(limits.total_area_coverage().to_fraction() / total)
        .min(1.0);
    coverages(&values.iter().map(|value| value * factor).collect::<Vec<_>>())
}
