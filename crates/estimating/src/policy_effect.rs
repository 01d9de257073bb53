use std::sync::Arc;

use colour::delta_e_00;
use proof::{DifferenceStatistics, ProvedColour};
use units::Volume;

use crate::closer_look::{CloserLook, largest};
use crate::estimate::usual_estimate;
use crate::judging::PictureProof;
use crate::{CountedPicture, Estimate, EstimatingError, Job, PreparedSet};

/// What an ink policy saves against the set's own black replacement, and what colour it costs.
#[derive(Clone, Debug, PartialEq)]
pub struct PolicyEffect {
    /// Ink of all copies by the set's own black replacement.
    pub usual: Volume,
    /// Percent that the policy takes less than that; negative when it takes more. `None` when
    /// the usual way takes no ink at all.
    pub saved_percent: Option<f64>,
    /// ΔE00 between what the set's own black replacement prints and what the policy prints.
    pub colour_cost: DifferenceStatistics,
}

/// Adds the effect of the policy to an estimate where the set was prepared with another one than
/// its own.
pub(crate) fn with_policy_effect(
    estimate: Estimate,
    picture: &CountedPicture,
    prepared: &PreparedSet,
    job: &Job,
) -> Result<Estimate, EstimatingError> {
    let Some(usual) = prepared.usual() else {
        return Ok(estimate);
    };
    let source = Arc::clone(&picture.colours(job.rendering)?.source);
    let wanted = source.wanted_of(picture.census.par_wide_entries())?;
    let (usual_proof, chosen_proof) = (
        PictureProof::new(Arc::clone(&source), usual, job.rendering)?,
        PictureProof::new(Arc::clone(&source), prepared, job.rendering)?,
    );
    let (usual_colours, chosen_colours) = (usual_proof.prove(&wanted), chosen_proof.prove(&wanted));
    let places = largest(printed_differences(&usual_colours, &chosen_colours));
    let closer = CloserLook::at(&picture.census, places.into_iter().collect(), &source)?;
    let usual_colours = closer.at_proved(usual_colours, &usual_proof);
    let chosen_colours = closer.at_proved(chosen_colours, &chosen_proof);
    let usual_total = usual_estimate(picture, usual, job)?.dose.total.expected;
    let effect = PolicyEffect {
        usual: usual_total,
        saved_percent: estimate.dose.total.expected.percent_below(usual_total),
        colour_cost: differences(picture, &usual_colours, &chosen_colours),
    };
    Ok(Estimate { policy_effect: Some(effect), ..estimate })
}

/// Of each colour, between what is printed either way.
fn printed_differences(
    usual: &[(ProvedColour, u64)],
    chosen: &[(ProvedColour, u64)],
) -> impl Iterator<Item = f64> {
    let pairs = usual.iter().zip(chosen);
    pairs.map(|((usual, _), (chosen, _))| delta_e_00(usual.printed, chosen.printed))
}

/// Unprinted pixels are bare paper either way.
fn differences(
    picture: &CountedPicture,
    usual: &[(ProvedColour, u64)],
    chosen: &[(ProvedColour, u64)],
) -> DifferenceStatistics {
    let pixels = usual.iter().map(|(_, pixels)| *pixels);
    let mut all: Vec<(f64, u64)> = printed_differences(usual, chosen).zip(pixels).collect();
    all.push((0.0, picture.census.unprinted()));
    DifferenceStatistics::of(&all)
}
