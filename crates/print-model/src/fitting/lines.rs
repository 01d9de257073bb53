use std::collections::BTreeMap;

use colour::BANDS;

use crate::yule_nielsen::{compress, expand};

use super::ramps::{Ends, Ramp};
use super::sheet::{Combination, Combinations, Key, Sheet, key};

/// What the patches on the lines through a combination say of it.
pub(crate) struct LinePrediction {
    pub(crate) combination: Combination,
    /// ΔE00 from the line that agrees best, or second best.
    pub(crate) difference: f64,
    /// Whether that line goes on at both sides of the combination.
    pub(crate) is_inside: bool,
}

/// The factor in whose compressed reflectance lines are nearly straight.
const FACTOR: f64 = 2.0;
/// How far beyond the last patch of a line it is believed, as a multiple of the distance between
/// its last two patches.
const FARTHEST: f64 = 2.0;

/// Predicts every combination from its neighbours along each ink, where all other inks stay the
/// same.
///
/// Along one ink compressed reflectance is nearly a straight line over the ink's effective coverage
/// in each band, whatever the other inks. A patch that was read wrong disagrees with all lines through it;
/// a sound patch beside it
/// agrees with those that don't meet the wrong one.
pub(crate) fn along_lines(
    sheet: &Sheet<'_>,
    combinations: &Combinations,
    ramps: &[(Ends, Ramp)],
) -> Vec<LinePrediction> {
    let mut found: BTreeMap<Key, Vec<LinePrediction>> = BTreeMap::new();
    for (ink, (_, ramp)) in ramps.iter().enumerate() {
        let is_mixed = |line: &Line| {
            // A ramp agrees with itself by construction.
            !line.iter().all(|(_, c)| Combinations::is_ramp(&sheet.patches[c.patch].amounts))
        };
        for line in lines(combinations, ink).into_iter().filter(is_mixed) {
            for place in 0..line.len() {
                let Some((values, is_inside)) = predicted(&line, place, ramp) else { continue };
                let combination = line[place].1;
                let difference = sheet.difference(&values, combination.patch);
                let prediction = LinePrediction { combination, difference, is_inside };
                let key = key(&sheet.patches[combination.patch].amounts);
                found.entry(key).or_default().push(prediction);
            }
        }
    }
    found.into_values().filter_map(best).collect()
}

/// Of three lines or more the second best, because a slip moves a whole line, which then agrees
/// with itself; of fewer the best. Lines that go on at both sides of the patch count alone where
/// there are two.
fn best(mut predictions: Vec<LinePrediction>) -> Option<LinePrediction> {
    if predictions.iter().filter(|prediction| prediction.is_inside).count() > 1 {
        predictions.retain(|prediction| prediction.is_inside);
    }
    predictions.sort_by(|one, other| one.difference.total_cmp(&other.difference));
    let place = usize::from(predictions.len() > 2);
    predictions.into_iter().nth(place)
}

type Line = Vec<(f64, Combination)>;

/// Combinations that differ in one ink alone, by rising amounts of it.
fn lines(combinations: &Combinations, ink: usize) -> Vec<Line> {
    let mut lines: BTreeMap<Key, Line> = BTreeMap::new();
    for (amounts, combination) in combinations.iter() {
        let mut others = amounts.clone();
        others[ink] = 0.0;
        lines.entry(key(&others)).or_default().push((amounts[ink], *combination));
    }
    let mut lines: Vec<Line> = lines.into_values().filter(|line| line.len() > 2).collect();
    for line in &mut lines {
        line.sort_by(|one, other| one.0.total_cmp(&other.0));
    }
    lines
}

/// The straight line through a patch's neighbours, at the patch; and whether they stand on both
/// sides of it.
fn predicted(line: &Line, place: usize, ramp: &Ramp) -> Option<([f64; BANDS], bool)> {
    let last = line.len() - 1;
    let (one, other, is_inside) = match place {
        0 => (1, 2, false),
        end if end == last => (last - 2, last - 1, false),
        inner => (inner - 1, inner + 1, true),
    };
    let effective = |place: usize| ramp.effective(line[place].0);
    let (from, to, at) = (effective(one), effective(other), effective(place));
    let mean = |step: &[f64; BANDS]| step.iter().sum::<f64>();
    let beyond = (mean(&at) - mean(&from)) / (mean(&to) - mean(&from));
    if !(-FARTHEST..=1.0 + FARTHEST).contains(&beyond) {
        return None;
    }
    let values = std::array::from_fn(|band| {
        let width = to[band] - from[band];
        let part = if width.abs() < 1e-3 { beyond } else { (at[band] - from[band]) / width };
        let part = part.clamp(-FARTHEST, 1.0 + FARTHEST);
        let [from, to] = [one, other].map(|p| compress(line[p].1.values[band], FACTOR));
        expand(from + part * (to - from), FACTOR)
    });
    Some((values, is_inside))
}
