use estimating::{Comparison, Saving, SetDifference};
use proof::{
    DifferenceStatistics, Holding, LoadHistogram, LostPlaces, LostRegion, SetChoice, Thresholds,
    Verdict,
};

use crate::wire;

/// The verdict on the set of this name.
pub(crate) fn verdict(verdict: &Verdict, ink_set: &str) -> wire::Verdict {
    wire::Verdict {
        holding: match verdict.holding {
            Holding::Holds => "holds",
            Holding::HoldsAllBut => "holds_all_but",
            Holding::Loses => "loses",
        },
        sentence: verdict.sentence(ink_set),
        out_of_gamut_share: verdict.out_of_gamut.to_fraction(),
        against_intended: differences(verdict.against_intended),
        after_black_point_compensation: verdict.after_compensation.map(|after| {
            wire::AfterCompensation {
                out_of_gamut_share: after.out_of_gamut.to_fraction(),
                differences: differences(after.differences),
            }
        }),
        loss: verdict.loss,
        lost: verdict.lost.iter().map(lost).collect(),
        places: verdict.places.as_ref().map(places),
        inconstancy_d50_to_a: verdict.inconstancy.map(|inconstancy| wire::Inconstancy {
            differences: differences(inconstancy.differences),
            reliable: inconstancy.reliable,
        }),
        thresholds: thresholds(verdict.thresholds),
    }
}

/// Which of the compared sets a picture needs, where verdicts were asked for.
pub(crate) fn choice(comparison: &Comparison, picture: usize) -> Option<wire::Choice> {
    let (choice, sentence) = comparison.choice_of_picture(picture)?;
    let (kind, set) = match choice {
        SetChoice::Enough { set } => ("enough", set),
        SetChoice::Needs { set } => ("needs_larger", set),
        SetChoice::LittleGained { set } => ("little_gained", set),
    };
    Some(wire::Choice { kind, ink_set: comparison.ink_sets[set].clone(), sentence })
}

pub(crate) fn differences(of: DifferenceStatistics) -> wire::Differences {
    let DifferenceStatistics { mean, p95, max } = of;
    wire::Differences { mean, p95, max }
}

fn lost(lost: &LostRegion) -> wire::Lost {
    let LostRegion { region, share, largest } = *lost;
    wire::Lost { region: region.name(), share: share.to_fraction(), largest }
}

fn places(places: &LostPlaces) -> wire::Places {
    wire::Places {
        mostly: places.names(),
        ninths: places.ninths.iter().map(|share| share.to_fraction()).collect(),
    }
}

/// How much of the area carries how much ink.
pub(crate) fn load_histogram(histogram: &LoadHistogram) -> wire::LoadHistogram {
    let limit = histogram.limit.to_millilitres_per_square_metre();
    #[expect(clippy::cast_precision_loss, reason = "a histogram has 20 steps")]
    let steps = histogram.shares.len() as f64;
    wire::LoadHistogram {
        step_ml_per_m2: limit / steps,
        shares: histogram.shares.iter().map(|share| share.to_fraction()).collect(),
    }
}

pub(crate) fn set_difference(difference: &SetDifference) -> wire::SetDifference {
    wire::SetDifference {
        ink_set: difference.ink_set.clone(),
        differences: differences(difference.differences),
    }
}

/// What the pictures that need no larger set would save.
pub(crate) fn rest(comparison: &Comparison) -> Option<wire::Rest> {
    let (pictures, Saving { ink_set, against, percent }) = comparison.saving_without_need()?;
    Some(wire::Rest { pictures, saving: wire::Saving { ink_set, against, percent } })
}

fn thresholds(thresholds: Thresholds) -> wire::Thresholds {
    wire::Thresholds {
        lost_above: thresholds.lost_above(),
        holds_up_to: thresholds.holds().to_fraction(),
        holds_all_but_up_to: thresholds.holds_all_but().to_fraction(),
    }
}
