use dosing::VolumeRange;
use estimating::{Assumption, Comparison, Estimate, PolicyEffect, Saving, StartUp, Weight};
use proof::{Holding, to_srgb};
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
            channels: total_channels(comparison, set),
            holds: holding(comparison, set, Holding::Holds),
            holds_all_but: holding(comparison, set, Holding::HoldsAllBut),
            loses: holding(comparison, set, Holding::Loses),
        })
        .collect()
}

fn total_channels(comparison: &Comparison, set: usize) -> Vec<wire::TotalChannel> {
    let Some((_, first)) = comparison.pictures.first() else {
        return Vec::new();
    };
    let sum = |channel: usize| {
        let volumes =
            comparison.pictures.iter().map(|(_, sets)| sets[set].dose.channels[channel].expected);
        volumes.sum::<Volume>().to_millilitres()
    };
    let names = first[set].channels.iter().enumerate();
    names
        .map(|(channel, name)| wire::TotalChannel {
            name: name.clone(),
            srgb: srgb(&first[set], channel),
            idle: first[set].idle[channel],
            ml: sum(channel),
        })
        .collect()
}

/// Number of pictures with one verdict on a set.
fn holding(comparison: &Comparison, set: usize, holding: Holding) -> usize {
    let verdicts = comparison.pictures.iter().filter_map(|(_, sets)| sets[set].verdict.as_ref());
    verdicts.filter(|verdict| verdict.holding == holding).count()
}

fn srgb(estimate: &Estimate, channel: usize) -> Option<String> {
    let [red, green, blue] = to_srgb(estimate.ink_colours[channel]?);
    Some(format!("#{red:02x}{green:02x}{blue:02x}"))
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
        start_up: estimate.start_up.map(start_up),
        highest_load_ml_per_m2: estimate.highest_load.to_millilitres_per_square_metre(),
        load_limit_ml_per_m2: estimate.load_limit.to_millilitres_per_square_metre(),
        highest_total_area_coverage: estimate.highest_total_area_coverage.to_fraction(),
        limited_share: estimate.limited.to_fraction(),
        verdict: estimate
            .verdict
            .as_ref()
            .map(|verdict| from_verdicts::verdict(verdict, &estimate.ink_set)),
        load_histogram: estimate.load_histogram.as_ref().map(from_verdicts::load_histogram),
        against_sets: estimate.against_sets.iter().map(from_verdicts::set_difference).collect(),
        policy_effect: estimate.policy_effect.as_ref().map(policy_effect),
        ids: wire::Ids {
            model: estimate.identities.model.to_owned(),
            separation: estimate.identities.separation.clone(),
            calibration: estimate.identities.calibration.clone(),
        },
        assumptions: estimate.assumptions.iter().map(assumption).collect(),
    }
}

fn policy_effect(effect: &PolicyEffect) -> wire::PolicyEffect {
    wire::PolicyEffect {
        usual_total_ml: effect.usual.to_millilitres(),
        saved_percent: effect.saved_percent,
        delta_e_00: from_verdicts::differences(effect.colour_cost),
    }
}

fn start_up(start_up: StartUp) -> wire::StartUp {
    let StartUp { ink, with_picture } = start_up;
    wire::StartUp {
        ml: ink.expected.to_millilitres(),
        ml_low: ink.low.to_millilitres(),
        ml_high: ink.high.to_millilitres(),
        with_picture_ml: with_picture.expected.to_millilitres(),
        with_picture_ml_low: with_picture.low.to_millilitres(),
        with_picture_ml_high: with_picture.high.to_millilitres(),
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
                srgb: srgb(estimate, channel),
                idle: estimate.idle[channel],
                coverage: estimate.coverages[channel].to_fraction(),
                ml: range.expected.to_millilitres(),
                ml_low: range.low.to_millilitres(),
                ml_high: range.high.to_millilitres(),
            }
        })
        .collect()
}

pub(crate) fn assumption(assumption: &Assumption) -> wire::Assumption {
    wire::Assumption {
        weight: match assumption.weight {
            Weight::Note => "note",
            Weight::Warning => "warning",
        },
        text: assumption.text.clone(),
    }
}
