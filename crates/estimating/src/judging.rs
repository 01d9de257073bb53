use colour::{Lab, delta_e_00};
use icc::SourceTransform;
use proof::{
    DifferenceStatistics, Fineness, LoadHistogram, LostPlaces, ProofPress, ProvedColour,
    Thresholds, Verdict, Viewing, WantedColour,
};
use rayon::prelude::*;

use crate::estimate::{COLOURS_AT_ONCE, encoded_colours, estimate_of};
use crate::policy_effect::with_policy_effect;
use crate::proving::{preview_colours, prove_preview};
use crate::rendering::{intent, rendering};
use crate::{
    CountedPicture, Estimate, EstimatingError, Job, PreparedSet, RenderingChoice, SetDifference,
};

/// Estimates the ink of a counted picture on prepared sets, with verdicts on its colours and the
/// differences between the sets' predictions.
///
/// # Errors
///
/// As [`estimate`](crate::estimate).
pub fn estimates_with_verdicts(
    picture: &CountedPicture,
    prepared: &[PreparedSet],
    job: &Job,
    thresholds: Thresholds,
) -> Result<Vec<Estimate>, EstimatingError> {
    let small = preview_colours(picture, Fineness::Lattice, PIXELS_FOR_PLACES);
    let mut estimates = Vec::new();
    let mut printed: Vec<Vec<Lab>> = Vec::new();
    for set in prepared {
        let proof = PictureProof::new(picture, set, job.rendering)?;
        let colours = proof.prove_census(picture)?;
        let separated = colours.iter().map(|(colour, _)| &colour.separated);
        let mut estimate = estimate_of(picture, set, job, separated)?;
        let mut verdict = proof.verdict(picture, &colours, thresholds);
        let preview = prove_preview(picture, set, job.rendering, &small, Viewing::default())?;
        verdict.places = Some(LostPlaces::of(&preview, &thresholds));
        let limits = set.separation_for(job.rendering).limits();
        let unprinted = picture.census.unprinted();
        estimate.load_histogram = Some(LoadHistogram::of(&colours, unprinted, limits));
        estimate.verdict = Some(verdict);
        estimate.against_sets = against_sets(&colours, unprinted, &printed, prepared);
        estimates.push(with_policy_effect(estimate, picture, set, job)?);
        printed.push(colours.iter().map(|(colour, _)| colour.printed).collect());
    }
    Ok(estimates)
}

/// Pixels of the preview that says where colours are lost: enough for ninths of a picture.
const PIXELS_FOR_PLACES: u64 = 20_000;

/// The differences from what each earlier set prints; bare paper is the same on all, or its
/// difference is that of the papers and not of the inks.
fn against_sets(
    colours: &[(ProvedColour, u64)],
    unprinted: u64,
    printed: &[Vec<Lab>],
    prepared: &[PreparedSet],
) -> Vec<SetDifference> {
    let of_set = |(earlier, set): (&Vec<Lab>, &PreparedSet)| {
        let pairs = colours.iter().zip(earlier);
        let mut differences: Vec<(f64, u64)> = pairs
            .map(|((colour, pixels), other)| (delta_e_00(colour.printed, *other), *pixels))
            .collect();
        differences.push((0.0, unprinted));
        let differences = DifferenceStatistics::of(&differences);
        SetDifference { ink_set: set.set().name.clone(), differences }
    };
    printed.iter().zip(prepared).map(of_set).collect()
}

/// Proves colours in a picture's own encoding on one set.
pub(crate) struct PictureProof<'set> {
    pub(crate) press: ProofPress<'set>,
    channels: usize,
    /// To what the job's rendering starts from.
    rendered_from: SourceTransform,
    /// To the one target, where that is another table.
    intended: Option<SourceTransform>,
}

impl<'set> PictureProof<'set> {
    pub(crate) fn new(
        picture: &CountedPicture,
        prepared: &'set PreparedSet,
        choice: RenderingChoice,
    ) -> Result<Self, EstimatingError> {
        let rendered_from = SourceTransform::new(picture.profile(), intent(choice))?;
        let rendering = rendering(choice, &rendered_from, prepared)?;
        let target = choice.target_intent();
        let intended = if target == intent(choice) {
            None
        } else {
            Some(SourceTransform::new(picture.profile(), target)?)
        };
        Ok(Self {
            press: ProofPress::new(prepared.separation_for(choice), rendering),
            channels: picture.census.model().channels(),
            rendered_from,
            intended,
        })
    }

    /// Proves the colours of the census, in its order, each with its pixels.
    pub(crate) fn prove_census(
        &self,
        picture: &CountedPicture,
    ) -> Result<Vec<(ProvedColour, u64)>, EstimatingError> {
        let proved = self.prove(&encoded_colours(picture))?;
        let pixels = picture.census.entries().map(|entry| entry.pixels);
        Ok(proved.into_iter().zip(pixels).collect())
    }

    pub(crate) fn verdict(
        &self,
        picture: &CountedPicture,
        colours: &[(ProvedColour, u64)],
        thresholds: Thresholds,
    ) -> Verdict {
        Verdict::of(&self.press, colours, picture.census.unprinted(), thresholds)
    }

    /// The colours that encoded ones want, in the order given.
    pub(crate) fn wanted_all(&self, encoded: &[f64]) -> Result<Vec<WantedColour>, EstimatingError> {
        let parts: Vec<Vec<WantedColour>> = encoded
            .par_chunks(COLOURS_AT_ONCE * self.channels)
            .map(|colours| self.wanted(colours))
            .collect::<Result<_, EstimatingError>>()?;
        Ok(parts.concat())
    }

    /// Proves encoded colours, sample after sample, in the order given.
    pub(crate) fn prove(&self, encoded: &[f64]) -> Result<Vec<ProvedColour>, EstimatingError> {
        let parts: Vec<Vec<ProvedColour>> = encoded
            .par_chunks(COLOURS_AT_ONCE * self.channels)
            .map(|colours| {
                let wanted = self.wanted(colours)?;
                Ok(wanted.iter().map(|colour| self.press.prove(colour)).collect())
            })
            .collect::<Result<_, EstimatingError>>()?;
        Ok(parts.into_iter().flatten().collect())
    }

    fn wanted(&self, encoded: &[f64]) -> Result<Vec<WantedColour>, EstimatingError> {
        let rendered_from = self.rendered_from.to_lab(encoded)?;
        let intended: Vec<Lab> = match &self.intended {
            Some(transform) => transform.to_lab(encoded)?,
            None => rendered_from.clone(),
        };
        let pairs = intended.into_iter().zip(rendered_from);
        Ok(pairs
            .map(|(intended, rendered_from)| WantedColour { intended, rendered_from })
            .collect())
    }
}
