use std::borrow::Borrow;
use std::collections::BTreeSet;
use std::sync::Arc;

use colour::{Lab, delta_e_00};
use proof::{
    DifferenceStatistics, Fineness, LoadHistogram, LostPlaces, PreviewColours, PreviewProof,
    PreviewSample, ProofPress, ProvedColour, Thresholds, Verdict, Viewing, WantedColour,
};
use rayon::prelude::*;

use crate::closer_look::{CloserLook, largest};
use crate::estimate::estimate_of;
use crate::policy_effect::with_policy_effect;
use crate::proving::preview_colours;
use crate::rendering::rendering;
use crate::source_colours::{COLOURS_AT_ONCE, CensusColours, SourceColours};
use crate::{
    CountedPicture, Estimate, EstimatingError, Job, PreparedSet, RenderingChoice, SetDifference,
};

/// Estimates the ink of a counted picture on prepared sets, with verdicts on its colours and the
/// differences between the sets' predictions.
///
/// # Errors
///
/// As [`estimate`](crate::estimate).
pub fn estimates_with_verdicts<S: Borrow<PreparedSet>>(
    picture: &CountedPicture,
    prepared: &[S],
    job: &Job,
    thresholds: Thresholds,
) -> Result<Vec<Estimate>, EstimatingError> {
    let places = preview_colours(picture, Fineness::Lattice, PIXELS_FOR_PLACES);
    Ok(judged(picture, prepared, job, thresholds, &[places])?.0)
}

/// As [`estimates_with_verdicts`], with the proof of a preview of at most so many pixels on each set:
/// what is proved to find where colours are lost serves both.
///
/// # Errors
///
/// As [`estimate`](crate::estimate).
pub fn estimates_with_proofs<S: Borrow<PreparedSet>>(
    picture: &CountedPicture,
    prepared: &[S],
    job: &Job,
    thresholds: Thresholds,
    most_pixels: u64,
) -> Result<(Vec<Estimate>, Vec<PreviewProof>), EstimatingError> {
    let reduced = |pixels| picture.preview.reduced(pixels);
    let both = PreviewColours::of_two(&reduced(PIXELS_FOR_PLACES), &reduced(most_pixels));
    judged(picture, prepared, job, thresholds, &both.map(Arc::new))
}

/// Judges by the first preview where colours are lost; gives the proofs of the last.
fn judged<S: Borrow<PreparedSet>>(
    picture: &CountedPicture,
    prepared: &[S],
    job: &Job,
    thresholds: Thresholds,
    previews: &[Arc<PreviewColours>],
) -> Result<(Vec<Estimate>, Vec<PreviewProof>), EstimatingError> {
    let sample = percentile_sample(picture);
    let colours = picture.colours(job.rendering)?;
    let wanted = colours.source.wanted_of(picture.census.par_wide_entries())?;
    let sample = sample.as_ref();
    let judging = Judging { picture, job, thresholds, colours, wanted, sample, previews };
    let sets: Vec<&PreparedSet> = prepared.iter().map(Borrow::borrow).collect();
    let looks: Vec<FirstLook> =
        sets.par_iter().map(|set| judging.first_look(set)).collect::<Result<_, _>>()?;
    let closer =
        CloserLook::at(&picture.census, largest_differences(&looks), &judging.colours.source)?;
    let judged: Vec<JudgedSet> = looks
        .into_par_iter()
        .map(|look| judging.closer_look(look, &closer))
        .collect::<Result<_, _>>()?;
    let against: Vec<Vec<SetDifference>> =
        (0..judged.len()).map(|place| judging.against_sets(place, &judged)).collect();
    let (mut estimates, mut proofs) = (Vec::new(), Vec::new());
    for ((judged, against_sets), set) in judged.into_iter().zip(against).zip(sets) {
        let estimate = Estimate { against_sets, ..judged.estimate };
        estimates.push(with_policy_effect(estimate, picture, set, job)?);
        proofs.extend(judged.proof);
    }
    Ok((estimates, proofs))
}

/// How the colours of a picture are judged on any set.
struct Judging<'a> {
    picture: &'a CountedPicture,
    job: &'a Job,
    thresholds: Thresholds,
    colours: Arc<CensusColours>,
    /// The wide entries, each with its pixels.
    wanted: Vec<(WantedColour, u64)>,
    /// Pixels to take percentiles from.
    sample: Option<&'a PreviewSample>,
    /// The one that says where colours are lost, and perhaps one to be shown.
    previews: &'a [Arc<PreviewColours>],
}

/// A picture on one set, as far as its wide entries tell.
struct FirstLook<'set> {
    /// Without a verdict.
    estimate: Estimate,
    proof: PictureProof<'set>,
    colours: Vec<(ProvedColour, u64)>,
}

/// Where the largest differences may lie: from what is intended and asked, under lamplight, and
/// between sets.
fn largest_differences(looks: &[FirstLook<'_>]) -> BTreeSet<usize> {
    let of_set = |look: &FirstLook<'_>| {
        let of = |difference: fn(&ProvedColour) -> f64| {
            largest(look.colours.iter().map(|(colour, _)| difference(colour)))
        };
        [
            of(|colour| delta_e_00(colour.intended, colour.printed)),
            of(|colour| delta_e_00(colour.asked, colour.printed)),
            of(|colour| delta_e_00(colour.intended, colour.clipped)),
            of(|colour| colour.inconstancy.unwrap_or(0.0)),
        ]
    };
    let of_pair = |one: &FirstLook<'_>, other: &FirstLook<'_>| {
        let pairs = one.colours.iter().zip(&other.colours);
        largest(pairs.map(|((one, _), (other, _))| delta_e_00(one.printed, other.printed)))
    };
    let pairs: Vec<_> = (0..looks.len())
        .flat_map(|place| (0..place).map(move |earlier| (place, earlier)))
        .collect();
    let between = pairs.par_iter().map(|&(one, other)| of_pair(&looks[one], &looks[other]));
    let own = looks.par_iter().map(of_set);
    let mut all: BTreeSet<usize> =
        own.collect::<Vec<_>>().into_iter().flatten().flatten().collect();
    all.extend(between.collect::<Vec<_>>().into_iter().flatten());
    all
}

/// A picture on one set.
struct JudgedSet {
    /// With its verdict, not compared with other sets yet.
    estimate: Estimate,
    proof: Option<PreviewProof>,
    /// What is printed for the colours by which the picture is judged, each with its pixels.
    printed: Vec<(Lab, u64)>,
    /// What is printed for the sample.
    sampled: Option<Vec<(Lab, u64)>>,
}

impl Judging<'_> {
    fn first_look<'set>(&self, set: &'set PreparedSet) -> Result<FirstLook<'set>, EstimatingError> {
        let Self { picture, job, .. } = *self;
        let (mut estimate, loads) = estimate_of(picture, &self.colours, set, job)?;
        let of_ink = loads.into_iter().zip(self.colours.entries.iter().map(|(_, pixels)| *pixels));
        let unprinted = picture.census.unprinted();
        estimate.load_histogram = Some(LoadHistogram::of(of_ink, unprinted, estimate.load_limit));
        let proof = PictureProof::new(Arc::clone(&self.colours.source), set, job.rendering)?;
        let colours = proof.prove(&self.wanted);
        Ok(FirstLook { estimate, proof, colours })
    }

    fn closer_look(
        &self,
        look: FirstLook<'_>,
        closer: &CloserLook,
    ) -> Result<JudgedSet, EstimatingError> {
        let Self { picture, thresholds, .. } = *self;
        let FirstLook { mut estimate, proof, colours } = look;
        // Areas and means are those of wide entries, whatever the picture is compared with.
        let of_wide = proof.verdict(picture, &colours, thresholds);
        let colours = closer.at_proved(colours, &proof);
        let mut verdict = of_wide.with_largest_of(&proof.verdict(picture, &colours, thresholds));
        let sampled = self.sample.map(|sample| proof.prove_sample(sample)).transpose()?;
        if let Some(sampled) = &sampled {
            let of_pixels = Verdict::of(&proof.press, sampled, 0, thresholds);
            verdict = verdict.with_percentiles_of(&of_pixels);
        }
        let mut shown_proof = None;
        if let (Some(places), Some(shown)) = (self.previews.first(), self.previews.last()) {
            let preview = proof.prove_preview(places, Viewing::default())?;
            verdict.places = Some(LostPlaces::of(&preview, &thresholds));
            shown_proof = preview.of_other(Arc::clone(shown));
        }
        estimate.verdict = Some(verdict);
        Ok(JudgedSet {
            estimate,
            proof: shown_proof,
            printed: printed_colours(&colours),
            sampled: sampled.as_deref().map(printed_colours),
        })
    }

    /// The differences from what each earlier set prints; bare paper is the same on all, or its
    /// difference is that of the papers and not of the inks.
    fn against_sets(&self, place: usize, judged: &[JudgedSet]) -> Vec<SetDifference> {
        let own = &judged[place];
        let unprinted = self.picture.census.unprinted();
        let of_set = |earlier: &JudgedSet| {
            let mut differences = between(&own.printed, &earlier.printed, unprinted);
            if let (Some(own), Some(earlier)) = (&own.sampled, &earlier.sampled) {
                differences = differences.with_percentile_of(&between(own, earlier, 0));
            }
            SetDifference { ink_set: earlier.estimate.ink_set.clone(), differences }
        };
        judged[..place].iter().map(of_set).collect()
    }
}

fn printed_colours(colours: &[(ProvedColour, u64)]) -> Vec<(Lab, u64)> {
    colours.iter().map(|(colour, pixels)| (colour.printed, *pixels)).collect()
}

fn between(colours: &[(Lab, u64)], others: &[(Lab, u64)], unprinted: u64) -> DifferenceStatistics {
    let mut differences: Vec<(f64, u64)> = colours
        .par_iter()
        .zip(others)
        .map(|((colour, pixels), (other, _))| (delta_e_00(*colour, *other), *pixels))
        .collect();
    differences.push((0.0, unprinted));
    DifferenceStatistics::of(&differences)
}

/// Pixels of the preview that says where colours are lost: enough for ninths of a picture.
pub(crate) const PIXELS_FOR_PLACES: u64 = 20_000;

/// Pixels to take percentiles from, where the preview holds all of the picture's and all are printed.
fn percentile_sample(picture: &CountedPicture) -> Option<PreviewSample> {
    is_sampled(picture).then(|| PreviewSample::of(&picture.preview))
}

/// Whether percentiles are taken from pixels.
pub(crate) fn is_sampled(picture: &CountedPicture) -> bool {
    let preview = &picture.preview;
    let pixels = u64::from(preview.width) * u64::from(preview.height);
    pixels == picture.census.pixels() && picture.census.unprinted() == 0
}

/// Proves the colours of a picture on one set.
pub(crate) struct PictureProof<'set> {
    press: ProofPress<'set>,
    source: Arc<SourceColours>,
}

impl<'set> PictureProof<'set> {
    pub(crate) fn new(
        source: Arc<SourceColours>,
        prepared: &'set PreparedSet,
        choice: RenderingChoice,
    ) -> Result<Self, EstimatingError> {
        let rendering = rendering(choice, source.transform(), prepared)?;
        let press = ProofPress::new(prepared.separation_for(choice), rendering);
        Ok(Self { press, source })
    }

    /// Proves colours, each with its pixels, in the order given.
    pub(crate) fn prove(&self, wanted: &[(WantedColour, u64)]) -> Vec<(ProvedColour, u64)> {
        let prove = |(wanted, pixels): &(WantedColour, u64)| (self.press.prove(wanted), *pixels);
        wanted.par_iter().with_min_len(COLOURS_AT_ONCE).map(prove).collect()
    }

    /// Proves the colours of a preview.
    pub(crate) fn prove_preview(
        &self,
        colours: &Arc<PreviewColours>,
        viewing: Viewing,
    ) -> Result<PreviewProof, EstimatingError> {
        let wanted = self.source.wanted_all(&colours.encoded())?;
        Ok(PreviewProof::new(Arc::clone(colours), &wanted, &self.press, viewing))
    }

    /// Proves the colours of a sample, in its order, each with its pixels.
    fn prove_sample(
        &self,
        sample: &PreviewSample,
    ) -> Result<Vec<(ProvedColour, u64)>, EstimatingError> {
        let wanted = self.source.wanted_all(sample.encoded())?;
        let prove = |wanted: &WantedColour| self.press.prove_as_rendered(wanted);
        let proved = wanted.par_iter().with_min_len(COLOURS_AT_ONCE).map(prove);
        Ok(proved.zip(sample.pixels()).map(|(proved, pixels)| (proved, *pixels)).collect())
    }

    pub(crate) fn verdict(
        &self,
        picture: &CountedPicture,
        colours: &[(ProvedColour, u64)],
        thresholds: Thresholds,
    ) -> Verdict {
        Verdict::of(&self.press, colours, picture.census.unprinted(), thresholds)
    }
}
