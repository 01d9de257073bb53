use dosing::VolumeRange;
use estimating::{Assumption, Comparison, Estimate, Saving, Weight};
use units::Volume;

use crate::{from_verdicts, wire};

/// The ink of several files by set, with their ranges.
pub(crate) fn totals(comparison: &Comparison) -> Vec<wire::Total> {
    let sum = |set: usize, end: fn(&VolumeRange) -> Volume| {
        let ends = comparison.pictures.iter().map(|(_, sets)| end(&sets[set].dose.total));
        ends.sum::<Volume>().to_millilitres()
    };
    comparison
        .ink_sets
        .iter()
        .enumerate()
        .map(|(set, name)| wire::Total {
            ink_set: name.clone(),
            total_ml: sum(set, |range| range.expected),
            total_ml_low: sum(set, |range| range.low),
            total_ml_high: sum(set, |range| range.high),
        })
        .collect()
}

pub(crate) fn savings(savings: Vec<Saving>) -> Vec<wire::Saving> {
    savings
        .into_iter()
        .map(|Saving { ink_set, against, percent }| wire::Saving { ink_set, against, percent })
        .collect()
}

pub(crate) fn estimate(estimate: &Estimate) -> wire::Estimate {
    let total = estimate.dose.total;
    wire::Estimate {
        ink_set: estimate.ink_set.clone(),
        substrate: estimate.substrate.clone(),
        print_mode: estimate.print_mode.clone(),
        copies: estimate.copies.get(),
        width_mm: estimate.size.width.to_millimetres(),
        height_mm: estimate.size.height.to_millimetres(),
        area_m2: estimate.area.to_square_metres(),
        channels: channels(estimate),
        total_ml: total.expected.to_millilitres(),
        total_ml_low: total.low.to_millilitres(),
        total_ml_high: total.high.to_millilitres(),
        highest_load_ml_per_m2: estimate.highest_load.to_millilitres_per_square_metre(),
        load_limit_ml_per_m2: estimate.load_limit.to_millilitres_per_square_metre(),
        highest_total_area_coverage: estimate.highest_total_area_coverage.to_fraction(),
        limited_share: estimate.limited.to_fraction(),
        verdict: estimate
            .verdict
            .as_ref()
            .map(|verdict| from_verdicts::verdict(verdict, &estimate.ink_set)),
        ids: wire::Ids {
            model: estimate.identities.model.to_owned(),
            separation: estimate.identities.separation.clone(),
            calibration: estimate.identities.calibration.to_owned(),
        },
        assumptions: estimate.assumptions.iter().map(assumption).collect(),
    }
}

fn channels(estimate: &Estimate) -> Vec<wire::Channel> {
    estimate
        .channels
        .iter()
        .enumerate()
        .map(|(channel, name)| {
            let range = estimate.dose.channels[channel];
            wire::Channel {
                name: name.clone(),
                idle: estimate.idle[channel],
                coverage: estimate.coverages[channel].to_fraction(),
                ml: range.expected.to_millilitres(),
                ml_low: range.low.to_millilitres(),
                ml_high: range.high.to_millilitres(),
            }
        })
        .collect()
}

fn assumption(assumption: &Assumption) -> wire::Assumption {
    wire::Assumption {
        weight: match assumption.weight {
            Weight::Note => "note",
            Weight::Warning => "warning",
        },
        text: assumption.text.clone(),
    }
}
