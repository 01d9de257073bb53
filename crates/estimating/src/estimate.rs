use std::num::NonZeroU32;

use colour::{Illuminant, Lab};
use dosing::{ChannelUse, ColourUse, CoverageTally, Dose, VolumeRange, dose};
use inkset::Provenance;
use intake::ContentHash;
use proof::{DifferenceStatistics, LoadHistogram, Verdict};
use rayon::prelude::*;
use separation::Limits;
use units::{Area, Load, Share, TotalAreaCoverage};

use crate::policy_effect::with_policy_effect;
use crate::rendering::rendering;
use crate::source_colours::{COLOURS_AT_ONCE, CensusColours};
use crate::{
    Assumption, CountedPicture, EstimatingError, Identities, Job, PictureOutline, PolicyEffect,
    PreparedSet, PrintSize, RenderingChoice,
};

/// The ink that one picture takes on one ink set. An estimate is not a measurement.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimate {
    /// Name of the ink set.
    pub ink_set: String,
    /// Name of the substrate.
    pub substrate: String,
    /// Name of the print mode.
    pub print_mode: String,
    /// Hash of the picture's file, hexadecimal.
    pub content_hash: String,
    /// Number of prints.
    pub copies: NonZeroU32,
    /// Names of the channels, in the order of the set's inks.
    pub channels: Vec<String>,
    /// Channels that the substrate leaves idle.
    pub idle: Vec<bool>,
    /// Mean coverage of each channel over the picture.
    pub coverages: Vec<Share>,
    /// Millilitres of each channel and in total, all copies together.
    pub dose: Dose,
    /// Ink at the start of the job, which is in no other figure; known by a calibration alone.
    pub start_up: Option<StartUp>,
    /// The printed size of one copy.
    pub size: PrintSize,
    /// The printed area of all copies.
    pub area: Area,
    /// The most ink at any place, within the substrate's limit.
    pub highest_load: Load,
    /// The substrate's limit of it.
    pub load_limit: Load,
    /// The highest sum of coverages at any place.
    pub highest_total_area_coverage: TotalAreaCoverage,
    /// Share of the picture where a limit bound.
    pub limited: Share,
    /// What the estimate was made with.
    pub identities: Identities,
    /// Whether the set holds the picture's colours, if that was asked.
    pub verdict: Option<Verdict>,
    /// How much of the area carries how much ink, if that was asked.
    pub load_histogram: Option<LoadHistogram>,
    /// How far its prediction lies from that of each set compared before it.
    pub against_sets: Vec<SetDifference>,
    /// The colour of each channel's solid on the substrate, media-relative; `None` where an output
    /// profile predicts colours and no single inks.
    pub ink_colours: Vec<Option<Lab>>,
    /// What the ink policy saved and cost, where it is not the set's own.
    pub policy_effect: Option<PolicyEffect>,
    /// How the picture uses each channel, for another size of the same.
    pub uses: Vec<ChannelUse>,
    /// What it rests on.
    pub assumptions: Vec<Assumption>,
}

/// Ink that a job takes whatever its size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StartUp {
    /// Of all inks together.
    pub ink: VolumeRange,
    /// Start-up and picture together, all copies.
    pub with_picture: VolumeRange,
}

/// Estimates the ink of a counted picture on a prepared set.
///
/// # Errors
///
/// `SizeUnknown` and `SizeAbsurd` for the printed size; `Profile` when the source profile can't
/// be transformed with the chosen intent.
pub fn estimate(
    picture: &CountedPicture,
    prepared: &PreparedSet,
    job: &Job,
) -> Result<Estimate, EstimatingError> {
    let estimate = usual_estimate(picture, prepared, job)?;
    with_policy_effect(estimate, picture, prepared, job)
}

/// The estimate without what a policy does.
pub(crate) fn usual_estimate(
    picture: &CountedPicture,
    prepared: &PreparedSet,
    job: &Job,
) -> Result<Estimate, EstimatingError> {
    let colours = picture.colours(job.rendering)?;
    Ok(estimate_of(picture, &colours, prepared, job)?.0)
}

/// The estimate by the colours of the census, and the load of each.
pub(crate) fn estimate_of(
    picture: &CountedPicture,
    colours: &CensusColours,
    prepared: &PreparedSet,
    job: &Job,
) -> Result<(Estimate, Vec<Load>), EstimatingError> {
    let unprinted = picture.census.unprinted();
    let InkSums { tally, loads } = InkSums::of(colours, unprinted, prepared, job.rendering)?;
    let set = EstimatedSet::new(prepared, job.rendering);
    let estimate = set.estimate(&picture.outline(), picture.content_hash, &tally, job)?;
    Ok((estimate, loads))
}

/// A set with what all estimates on it have in common.
pub(crate) struct EstimatedSet<'a> {
    prepared: &'a PreparedSet,
    limits: &'a Limits,
    ink_colours: Vec<Option<Lab>>,
}

impl<'a> EstimatedSet<'a> {
    pub(crate) fn new(prepared: &'a PreparedSet, choice: RenderingChoice) -> Self {
        let limits = prepared.separation_for(choice).limits();
        Self { prepared, limits, ink_colours: ink_colours(prepared, choice) }
    }

    /// Number of the set's channels.
    pub(crate) fn channels(&self) -> usize {
        self.prepared.set().inks.len()
    }

    /// The estimate of a picture by the sums over its colours.
    pub(crate) fn estimate(
        &self,
        outline: &PictureOutline,
        content_hash: ContentHash,
        tally: &CoverageTally,
        job: &Job,
    ) -> Result<Estimate, EstimatingError> {
        let Self { prepared, limits, ref ink_colours } = *self;
        let size = outline.size(job.size)?;
        let set = prepared.set();
        let area = size.area().times(job.copies.get());
        let (coverages, uses) = (tally.means(), tally.uses());
        let (dose, start_up) = dose_of(prepared, job, &coverages, &uses, area);
        Ok(Estimate {
            ink_set: set.name.clone(),
            substrate: prepared.substrate().name.clone(),
            print_mode: prepared.print_mode().name.clone(),
            content_hash: content_hash.to_string(),
            copies: job.copies,
            channels: set.inks.iter().map(|ink| ink.name.clone()).collect(),
            idle: set.inks.iter().map(|ink| set.is_idle(ink, prepared.substrate())).collect(),
            coverages,
            dose,
            start_up,
            size,
            area,
            highest_load: tally.highest_load(),
            load_limit: limits.load(),
            highest_total_area_coverage: tally.highest_total_area_coverage(),
            limited: tally.limited(),
            identities: prepared.identities().clone(),
            verdict: None,
            load_histogram: None,
            against_sets: Vec::new(),
            ink_colours: ink_colours.clone(),
            policy_effect: None,
            uses,
            assumptions: assumptions(outline, prepared, job, &size),
        })
    }
}

impl Estimate {
    /// The same picture on the same set, for another size or number of prints: nothing is
    /// separated again. The rendering must be the one that the estimate was made with.
    ///
    /// # Errors
    ///
    /// `SizeUnknown` and `SizeAbsurd` for the printed size.
    pub fn resized(
        &self,
        outline: &PictureOutline,
        prepared: &PreparedSet,
        job: &Job,
    ) -> Result<Self, EstimatingError> {
        let size = outline.size(job.size)?;
        let area = size.area().times(job.copies.get());
        let (dose, start_up) = dose_of(prepared, job, &self.coverages, &self.uses, area);
        let growth = area.to_square_metres() / self.area.to_square_metres();
        let policy_effect = self
            .policy_effect
            .clone()
            .map(|effect| PolicyEffect { usual: effect.usual.scaled(growth), ..effect });
        let assumptions = assumptions(outline, prepared, job, &size);
        let copies = job.copies;
        Ok(Self { copies, dose, start_up, size, area, policy_effect, assumptions, ..self.clone() })
    }
}

/// The ink of all copies, and that of the start where a calibration knows it.
fn dose_of(
    prepared: &PreparedSet,
    job: &Job,
    coverages: &[Share],
    uses: &[ChannelUse],
    area: Area,
) -> (Dose, Option<StartUp>) {
    match prepared.calibration() {
        None => {
            let lay_down = prepared.separation_for(job.rendering).limits().lay_down();
            (dose(prepared.set(), coverages, lay_down, area, &prepared.prior_widths()), None)
        }
        Some(calibration) => {
            let dose = calibration.values.dose(uses, area);
            let start_up = StartUp { ink: dose.start_up, with_picture: dose.job_total };
            (dose.picture, Some(start_up))
        }
    }
}

fn ink_colours(prepared: &PreparedSet, choice: RenderingChoice) -> Vec<Option<Lab>> {
    let model = prepared.separation_for(choice).model();
    let solid = |channel| model.map(|model| model.lab(model.solid(channel)));
    (0..prepared.set().inks.len()).map(solid).collect()
}

/// How far the prediction for one set lies from that for another, over the same picture.
#[derive(Clone, Debug, PartialEq)]
pub struct SetDifference {
    /// The other set.
    pub ink_set: String,
    /// ΔE00 between what both print.
    pub differences: DifferenceStatistics,
}
/// What an estimate leaves out and a quote counts.
pub(crate) const OVERHEADS_LEFT_OUT: &str =
    "start-up, cleaning and idle ink, margins and spoilage are not included";

/// Colours that are separated side by side. Our choice: what is known of them fits the processor's nearest
/// memory.
const SEPARATED_AT_ONCE: usize = 128;

/// What the colours of a picture take on a set.
pub(crate) struct InkSums {
    pub(crate) tally: CoverageTally,
    /// By colour.
    pub(crate) loads: Vec<Load>,
}

impl InkSums {
    /// Separates the colours of a census, each with its pixels. Parts of a fixed size are summed side by
    /// side, so that sums agree to the last bit for any number of threads.
    pub(crate) fn of(
        colours: &CensusColours,
        unprinted: u64,
        prepared: &PreparedSet,
        choice: RenderingChoice,
    ) -> Result<Self, EstimatingError> {
        let separation = prepared.separation_for(choice);
        let rendering = rendering(choice, colours.source.transform(), prepared)?;
        let channels = prepared.set().inks.len();
        let of_part = |colours: &[(Lab, u64)]| {
            let mut part = Self { tally: CoverageTally::new(channels), loads: Vec::new() };
            for colours in colours.chunks(SEPARATED_AT_ONCE) {
                let sources: Vec<Lab> = colours.iter().map(|(source, _)| *source).collect();
                let separated = separation.separate_rendered(&sources, &rendering);
                for (separated, (_, pixels)) in separated.iter().zip(colours) {
                    let used = ColourUse::of(separated, separation.limits());
                    part.tally.add(&used, *pixels);
                    part.loads.push(used.load());
                }
            }
            part
        };
        let parts: Vec<Self> = colours.entries.par_chunks(COLOURS_AT_ONCE).map(of_part).collect();
        let mut sums = Self { tally: CoverageTally::new(channels), loads: Vec::new() };
        for part in parts {
            sums.tally.merge(&part.tally);
            sums.loads.extend(part.loads);
        }
        sums.tally.add_unprinted(unprinted);
        Ok(sums)
    }
}

/// The paper's ICC-absolute colour, for counting transparent pictures under
/// [`RenderingChoice::Absolute`].
#[must_use]
pub fn paper_shown(choice: RenderingChoice, prepared: &PreparedSet) -> Option<Lab> {
    let paper = prepared.separation_for(choice).paper_xyz();
    (choice == RenderingChoice::Absolute).then(|| paper.to_lab(Illuminant::D50.white()))
}

fn assumptions(
    picture: &PictureOutline,
    prepared: &PreparedSet,
    job: &Job,
    size: &PrintSize,
) -> Vec<Assumption> {
    let mut all = picture.assumptions.clone();
    all.extend(size.assumption(job.size));
    all.push(Assumption::note(format!("rendering: {}", job.rendering.description())));
    all.extend(prepared.separation_assumptions());
    all.extend(prepared.notices().iter().map(Assumption::warning));
    all.extend(invented_parts(prepared).map(Assumption::note));
    match prepared.calibration() {
        None => all.push(Assumption::note(
            "not calibrated by measured jobs: nominal lay-down, range from stated prior widths",
        )),
        Some(calibration) => all.extend(calibration.assumptions(prepared)),
    }
    all.push(Assumption::note(OVERHEADS_LEFT_OUT));
    all
}

/// Says what of the ink set is made up: the whole, the substrate, or single inks.
fn invented_parts(prepared: &PreparedSet) -> Option<String> {
    let set = prepared.set();
    let name = &set.name;
    let measured = |provenance: &Provenance| *provenance == Provenance::Measured;
    if set.provenance == Provenance::Invented
        && set.inks.iter().all(|ink| measured(&ink.provenance))
        && measured(&prepared.substrate().provenance)
    {
        return Some(format!(
            "ink set `{name}`: inks and paper are measured; limits, print modes and separation are \
             invented"
        ));
    }
    if set.provenance == Provenance::Invented {
        return Some(format!("ink set `{name}` is invented: plausible numbers, no machine's"));
    }
    let inks = set.inks.iter().filter(|ink| ink.provenance == Provenance::Invented);
    let mut parts: Vec<String> = inks.map(|ink| format!("ink `{}`", ink.name)).collect();
    if prepared.substrate().provenance == Provenance::Invented {
        parts.push(format!("substrate `{}`", prepared.substrate().name));
    }
    (!parts.is_empty()).then(|| format!("invented in ink set `{name}`: {}", parts.join(", ")))
}
