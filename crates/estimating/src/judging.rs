use colour::Lab;
use icc::SourceTransform;
use proof::{ProofPress, ProvedColour, Thresholds, Verdict, WantedColour};
use rayon::prelude::*;

use crate::estimate::{COLOURS_AT_ONCE, encoded_colours, estimate_of, intent, rendering};
use crate::{CountedPicture, Estimate, EstimatingError, Job, PreparedSet, RenderingChoice};

/// Estimates the ink of a counted picture on a prepared set, with a verdict on its colours.
///
/// # Errors
///
/// As [`estimate`](crate::estimate).
pub fn estimate_with_verdict(
    picture: &CountedPicture,
    prepared: &PreparedSet,
    job: &Job,
    thresholds: Thresholds,
) -> Result<Estimate, EstimatingError> {
    let proof = PictureProof::new(picture, prepared, job.rendering)?;
    let colours = proof.prove_census(picture)?;
    let separated = colours.iter().map(|(colour, _)| &colour.separated);
    let estimate = estimate_of(picture, prepared, job, separated)?;
    let verdict = proof.verdict(picture, &colours, thresholds);
    Ok(Estimate { verdict: Some(verdict), ..estimate })
}

/// Judges whether a prepared set holds the colours of a counted picture.
///
/// # Errors
///
/// `Profile` when the source profile can't be transformed with the chosen intent.
pub fn judge(
    picture: &CountedPicture,
    prepared: &PreparedSet,
    choice: RenderingChoice,
    thresholds: Thresholds,
) -> Result<Verdict, EstimatingError> {
    let proof = PictureProof::new(picture, prepared, choice)?;
    let colours = proof.prove_census(picture)?;
    Ok(proof.verdict(picture, &colours, thresholds))
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
    fn prove_census(
        &self,
        picture: &CountedPicture,
    ) -> Result<Vec<(ProvedColour, u64)>, EstimatingError> {
        let proved = self.prove(&encoded_colours(picture))?;
        let pixels = picture.census.entries().map(|entry| entry.pixels);
        Ok(proved.into_iter().zip(pixels).collect())
    }

    fn verdict(
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
