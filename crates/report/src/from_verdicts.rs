use estimating::Comparison;
use proof::{DifferenceStatistics, Holding, LostRegion, SetChoice, Thresholds, Verdict};

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
        lost: verdict.lost.iter().map(lost).collect(),
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

fn differences(of: DifferenceStatistics) -> wire::Differences {
    let DifferenceStatistics { mean, p95, max } = of;
    wire::Differences { mean, p95, max }
}

fn lost(lost: &LostRegion) -> wire::Lost {
    let LostRegion { region, share, largest } = *lost;
    wire::Lost { region: region.name(), share: share.to_fraction(), largest }
}

fn thresholds(thresholds: Thresholds) -> wire::Thresholds {
    wire::Thresholds {
        lost_above: thresholds.lost_above(),
        holds_up_to: thresholds.holds().to_fraction(),
        holds_all_but_up_to: thresholds.holds_all_but().to_fraction(),
    }
}
