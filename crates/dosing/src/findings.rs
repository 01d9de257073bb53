use crate::equations::System;
use crate::fit::{area_span, volume};
use crate::robust_fit::RobustFit;
use crate::unknowns::Unknowns;
use crate::{CalibrationPrior, Finding, MeasuredJob, PriorWidths, Quantity, Reading};

/// Half the area and twice the area: nearer together, a few percent of scatter on the ink outweigh
/// the start-up. Our choice.
const ALIKE: f64 = 2.0;

/// A quantity whose draws spread more than this share of the prior's spread has learned nothing
/// worth the name. Our choice.
const LEARNED_NOTHING: f64 = 0.8;

/// What a fit left out or could not tell.
pub(crate) fn findings(
    prior: &CalibrationPrior,
    jobs: &[MeasuredJob],
    system: &System<'_>,
    robust: &RobustFit,
    draws: &[(Unknowns, f64)],
) -> Vec<Finding> {
    let mut all = wild(prior, jobs, system, robust);
    match area_span(jobs) {
        None => all.push(Finding::NoStartUpRead),
        Some((smallest, largest)) => {
            if largest.to_square_metres() < ALIKE * smallest.to_square_metres() {
                all.push(Finding::AreasTooAlike { smallest, largest });
            }
        }
    }
    let undecided = |what| undecided(prior, draws, what);
    let totals_only = jobs.iter().all(|job| matches!(job.reading, Reading::Total(_)));
    if totals_only {
        all.push(Finding::TotalsOnly { undecided: undecided(Quantity::LayDown) });
        return all;
    }
    // That curves stay nominal is no fault of few jobs alone; it is told like the others.
    for what in [Quantity::LayDown, Quantity::Curve, Quantity::StartUp] {
        let inks = undecided(what);
        if !inks.is_empty() {
            all.push(Finding::StaysNominal { what, inks });
        }
    }
    all
}

fn wild(
    prior: &CalibrationPrior,
    jobs: &[MeasuredJob],
    system: &System<'_>,
    robust: &RobustFit,
) -> Vec<Finding> {
    let pairs = system.equations.iter().zip(&robust.used).filter(|(_, used)| !**used);
    pairs
        .map(|(equation, _)| Finding::WildReading {
            job: jobs[equation.job].number,
            ink: equation.channel.map(|channel| prior.channels[channel].name.clone()),
            measured: volume(equation.measured),
            expected: volume(equation.predicted(&robust.unknowns)),
        })
        .collect()
}

/// The inks of which the draws know no more than the prior.
fn undecided(prior: &CalibrationPrior, draws: &[(Unknowns, f64)], what: Quantity) -> Vec<String> {
    let nothing_learned = |channel: &usize| {
        if prior.channels[*channel].idle {
            return false;
        }
        let light = prior.channels[*channel].light;
        let widths = &prior.widths;
        let (width, value): (f64, fn(&Unknowns, usize) -> f64) = match what {
            Quantity::LayDown => (widths.lay_down.hypot(widths.own(light)), Unknowns::lay_down),
            Quantity::Curve => (CURVE_OF_PIECES * widths.piece, Unknowns::bent),
            Quantity::StartUp => (widths.start_up_ml, Unknowns::start_up),
        };
        let values = draws.iter().map(|(unknowns, _)| value(unknowns, *channel));
        let mut before = PriorWidths::deviation(width);
        if what == Quantity::StartUp {
            // Cut off at nothing, a normal distribution keeps this share of its deviation:
            // half of it lies at nought.
            before *= HALF_CUT_OFF;
        }
        deviation(values) > LEARNED_NOTHING * before
    };
    let channels = (0..prior.channels.len()).filter(nothing_learned);
    channels.map(|channel| prior.channels[channel].name.clone()).collect()
}

/// Deviation of the curve's measure for pieces that deviate by one: with 40 % of the length below,
/// 0.6 × √(0.1² + 0.3²) against 0.4 × 0.6.
const CURVE_OF_PIECES: f64 = 0.306;

/// √(½ − 1/2π), the deviation of max(0, *z*) for a normal *z*.
const HALF_CUT_OFF: f64 = 0.583_8;

fn deviation(values: impl Iterator<Item = f64>) -> f64 {
    let all: Vec<f64> = values.collect();
    #[expect(clippy::cast_precision_loss, reason = "draws number far fewer than 2^52")]
    let count = all.len().max(1) as f64;
    let mean = all.iter().sum::<f64>() / count;
    (all.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / count).sqrt()
}
