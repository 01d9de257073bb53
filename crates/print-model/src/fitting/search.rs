use colour::{BANDS, Illuminant, Lab, delta_e_00};
use inkset::RampLaw;
use rayon::prelude::*;
use units::Coverage;

use crate::PrintModel;

use super::fit_error::FitError;
use super::levels::Levels;
use super::measured_set::SetBuilder;
use super::ramps::{Ends, Ramp};
use super::sheet::{Combination, Combinations, Key, Sheet, SheetPatch, key};

/// How one ramp law predicts a sheet from some levels of primaries.
#[derive(Clone, Debug)]
pub(crate) struct Trial {
    pub(crate) law: RampLaw,
    /// By patch: what is predicted.
    pub(crate) predicted: Vec<Lab>,
    /// By patch: ΔE00 of the prediction by the whole model.
    pub(crate) fitted: Vec<f64>,
    /// By patch: ΔE00 of a prediction that did not know the patch; `None` where there is none.
    pub(crate) left_out: Vec<Option<f64>>,
}

/// Factors that are tried first, and then refined between neighbours. Above 2 they only fit (Yule
/// and Nielsen); 10 is the end of the format.
const FACTORS: [f64; 9] = [1.0, 1.3, 1.7, 2.0, 2.5, 3.2, 4.2, 6.0, 10.0];
/// Halvings: to about a hundredth of a factor.
const REFINEMENTS: u32 = 5;
/// Rounds of leaving out in turn for what mixtures decide.
const FOLDS: usize = SetBuilder::FOLDS;

/// The ramp law, of one kind or of all, with the least sum of squares, and the accuracy that it has on patches left out.
pub(crate) fn best(
    builder: &SetBuilder<'_>,
    levels: &Levels,
    aside: &[bool],
    of_kind: Option<RampLaw>,
) -> Result<Trial, FitError> {
    let makes: Vec<fn(f64) -> RampLaw> = match of_kind {
        Some(RampLaw::YuleNielsen { .. }) => vec![yule_nielsen],
        Some(RampLaw::KubelkaMunk { .. }) => vec![kubelka_munk],
        Some(RampLaw::KubelkaMunkMixtures { .. }) => vec![kubelka_munk_mixtures],
        None => vec![yule_nielsen, kubelka_munk, kubelka_munk_mixtures],
    };
    let laws: Vec<RampLaw> = makes.into_iter().flat_map(|make| FACTORS.map(make)).collect();
    let mut trials = tried(builder, levels, &laws)?;
    let coarse = least(&trials, aside, &|_| true);
    let finer = refined(builder, levels, aside, trials[coarse].law)?;
    trials.extend(finer);
    let chosen = least(&trials, aside, &|_| true);
    let mut answer = trials[chosen].clone();
    // A patch's own fold must not have taken part in the choice.
    for fold in 0..FOLDS {
        let other = least(&trials, aside, &|patch| patch % FOLDS != fold);
        // Nor in the estimates of overprints that the chart lacks.
        let blind;
        let source = if builder.lacks_no_solids() {
            &trials[other]
        } else {
            blind = trial(&builder.without_fold(fold), trials[other].law, levels)?;
            &blind
        };
        for patch in (fold..answer.left_out.len()).step_by(FOLDS) {
            answer.left_out[patch] = source.left_out[patch];
        }
    }
    Ok(answer)
}

const fn yule_nielsen(n: f64) -> RampLaw {
    RampLaw::YuleNielsen { n }
}

const fn kubelka_munk(n: f64) -> RampLaw {
    RampLaw::KubelkaMunk { n }
}

const fn kubelka_munk_mixtures(n: f64) -> RampLaw {
    RampLaw::KubelkaMunkMixtures { n }
}

/// Predicts all patches under one law.
pub(crate) fn trial(
    builder: &SetBuilder<'_>,
    law: RampLaw,
    levels: &Levels,
) -> Result<Trial, FitError> {
    let set = builder.set(law, levels)?;
    let model = PrintModel::new(&set, &set.substrates[0])?;
    let sheet = builder.sheet;
    let (predicted, fitted) = predictions(&model, sheet);
    let ramps = left_out_of_ramps(builder, law)?;
    let left_out = (0..sheet.patches.len())
        .map(|place| {
            let amounts = &sheet.patches[place].amounts;
            if Combinations::is_ramp(amounts) {
                return ramps
                    .iter()
                    .find(|(own, _)| *own == key(amounts))
                    .map(|(_, values)| sheet.difference(values, place));
            }
            let is_node = amounts.iter().zip(levels).all(|(amount, own)| own.contains(amount));
            (!is_node).then_some(fitted[place])
        })
        .collect();
    Ok(Trial { law, predicted, fitted, left_out })
}

/// By patch: what a model predicts, and ΔE00 from what was read.
pub(crate) fn predictions(model: &PrintModel, sheet: &Sheet<'_>) -> (Vec<Lab>, Vec<f64>) {
    let white = Illuminant::D50.white();
    let predict = |patch: &SheetPatch<'_>| model.xyz(&coverages(patch)).to_lab(white);
    let predicted: Vec<Lab> = sheet.patches.iter().map(predict).collect();
    let pairs = sheet.patches.iter().zip(&predicted);
    let differences = pairs.map(|(patch, predicted)| delta_e_00(*predicted, patch.lab)).collect();
    (predicted, differences)
}

fn coverages(patch: &SheetPatch<'_>) -> Vec<Coverage> {
    let coverage = |amount: &f64| Coverage::from_fraction(*amount).unwrap_or(Coverage::MAX);
    patch.amounts.iter().map(coverage).collect()
}

/// The interior steps of all ramps, each predicted by its ramp without it.
fn left_out_of_ramps(
    builder: &SetBuilder<'_>,
    law: RampLaw,
) -> Result<Vec<(Key, [f64; BANDS])>, FitError> {
    let mut predicted = Vec::new();
    for ink in 0..builder.inks.len() {
        let ends = builder.ends(law, ink)?;
        for (step, values) in left_out_of_ramp(&ends, &builder.combinations.ramp(ink)) {
            predicted.push((key(&builder.sheet.patches[step.patch].amounts), values));
        }
    }
    Ok(predicted)
}

/// The interior steps of a ramp, each predicted without it.
pub(crate) fn left_out_of_ramp(
    ends: &Ends,
    steps: &[(f64, Combination)],
) -> Vec<(Combination, [f64; BANDS])> {
    (1..steps.len() - 1)
        .map(|place| {
            let mut others = steps.to_vec();
            let (coverage, step) = others.remove(place);
            (step, Ramp::new(ends, &others).values(ends, coverage))
        })
        .collect()
}

/// All laws, on all cores; the order stays.
fn tried(
    builder: &SetBuilder<'_>,
    levels: &Levels,
    laws: &[RampLaw],
) -> Result<Vec<Trial>, FitError> {
    laws.par_iter().map(|law| trial(builder, *law, levels)).collect()
}

/// Laws around the best coarse one, by halving the distance to its neighbours.
fn refined(
    builder: &SetBuilder<'_>,
    levels: &Levels,
    aside: &[bool],
    around: RampLaw,
) -> Result<Vec<Trial>, FitError> {
    let (make, n) = match around {
        RampLaw::YuleNielsen { n } => (yule_nielsen as fn(f64) -> RampLaw, n),
        RampLaw::KubelkaMunk { n } => (kubelka_munk as fn(f64) -> RampLaw, n),
        RampLaw::KubelkaMunkMixtures { n } => (kubelka_munk_mixtures as fn(f64) -> RampLaw, n),
    };
    let place = FACTORS.iter().position(|factor| *factor == n).unwrap_or(0);
    let (mut low, mut middle, mut high) =
        (FACTORS[place.saturating_sub(1)], n, FACTORS[(place + 1).min(FACTORS.len() - 1)]);
    let mut found: Vec<Trial> = Vec::new();
    for _ in 0..REFINEMENTS {
        let sides = [hundredth(0.5 * (low + middle)), hundredth(0.5 * (middle + high))];
        found.extend(tried(builder, levels, &sides.map(make))?);
        let cost = |trial: &Trial| sum_of_squares(trial, aside, &|_| true);
        let [.., left, right] = &found[..] else { break };
        let own = match found.iter().find(|trial| trial.law == make(middle)) {
            Some(own) => cost(own),
            None => cost(&trial(builder, make(middle), levels)?),
        };
        let (left, right) = (cost(left), cost(right));
        (low, middle, high) = if left < own && left <= right {
            (low, sides[0], middle)
        } else if right < own {
            (middle, sides[1], high)
        } else {
            (sides[0], middle, sides[1])
        };
    }
    Ok(found)
}

/// n is written with two decimals.
fn hundredth(n: f64) -> f64 {
    (n * 100.0).round() / 100.0
}

fn least(trials: &[Trial], aside: &[bool], counts: &dyn Fn(usize) -> bool) -> usize {
    let cost = |place: &usize| sum_of_squares(&trials[*place], aside, counts);
    (0..trials.len()).min_by(|a, b| cost(a).total_cmp(&cost(b))).unwrap_or(0)
}

/// What is minimised: squared ΔE00 of the patches that the model did not take its figures from.
fn sum_of_squares(trial: &Trial, aside: &[bool], counts: &dyn Fn(usize) -> bool) -> f64 {
    let differences = trial.left_out.iter().enumerate();
    differences
        .filter(|(patch, _)| !aside[*patch] && counts(*patch))
        .filter_map(|(_, difference)| difference.map(|d| d * d))
        .sum()
}
