use charts::Chart;
use colour::delta_e_00;
use inkset::{Backing, DeviceCurve, InkSet, MeasurementCondition, MixedBands, RampLaw};
use units::{Coverage, DeviceValue, Share};

use super::accuracy::Accuracy;
use super::fit_error::FitError;
use super::levels::{self, Levels};
use super::light_inks::{LightInks, LightInksFit, Strengths};
use super::measured_set::{FitRequest, SetBuilder, curve_of, spectra};
use super::ramps::Ramp;
use super::search::{Trial, best, trial};
use super::sheet::{Combinations, Sheet};
use super::suspects::{Aside, MODEL, Suspect};

/// An ink set that was fitted to a chart, and how well it predicts it.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The set.
    pub set: InkSet,
    /// What mixes: spectra, or tristimulus values where the chart has no spectra.
    pub bands: MixedBands,
    /// Number of patches in the chart.
    pub patches: usize,
    /// The models that were fitted: the plain one, and the cellular one where the chart allows it.
    pub models: Vec<FittedModel>,
    /// Which of them the set holds.
    pub chosen: usize,
    /// The worst patches of the chosen model, worst first, ten at most.
    pub worst: Vec<WorstPatch>,
    /// Patches that were not used.
    pub suspects: Vec<Suspect>,
    /// How well the chart's light inks are predicted, where it has any. All other figures are those of
    /// the patches without them, but for `worst` and `suspects`.
    pub light_inks: Option<LightInksFit>,
    /// What was assumed, in sentences.
    pub assumptions: Vec<String>,
}

/// One model of a chart.
#[derive(Clone, Debug, PartialEq)]
pub struct FittedModel {
    /// By ink: at how many amounts primaries are taken, paper and solid included.
    pub levels: Vec<usize>,
    /// Number of primaries that the chart holds.
    pub measured_primaries: usize,
    /// Overprints of solids that it lacks and that its mixtures show: ink names and percentages.
    pub estimated_primaries: Vec<String>,
    /// Those that it lacks otherwise, which are predicted.
    pub predicted_primaries: Vec<String>,
    /// The ramp law with its factor.
    pub law: RampLaw,
    /// All patches but the suspects, those of the fit included.
    pub fitted: Accuracy,
    /// Patches that gave neither primaries nor, at their own step, curves; `None` without any.
    pub left_out: Option<Accuracy>,
}

/// A patch far from its prediction.
#[derive(Clone, Debug, PartialEq)]
pub struct WorstPatch {
    /// The line of the file.
    pub line: usize,
    /// The sample.
    pub sample: String,
    /// Device value of each ink.
    pub device: Vec<units::DeviceValue>,
    /// ΔE00.
    pub difference: f64,
}

/// Least ΔE00 between paper and a solid. Our choice: below, the ink did not print.
const LEAST_SOLID: f64 = 1.0;
/// Inks of an ink set, and families that the print model mixes.
const MOST_INKS: usize = 12;
const MOST_FAMILIES: usize = 8;
/// How many of the worst patches are listed.
const WORST: usize = 10;

impl Fit {
    /// Fits a print model to a chart.
    ///
    /// Device values become coverages through the base's curves, or through the default curve where
    /// they are unknown: the chart can't say what they fire. The set's print modes repeat it.
    ///
    /// # Errors
    ///
    /// See [`FitError`].
    pub fn new(chart: &Chart, request: &FitRequest<'_>) -> Result<Self, FitError> {
        let inks = ink_names(chart, request)?;
        let curves = device_curves(&inks, request.base)?;
        let strengths = Strengths::of(chart, &inks, request)?;
        refuse_too_many_families(&strengths)?;
        let full = strengths.full_strength_chart(chart);
        let plain = Fitting {
            chart: &full,
            request,
            inks: &strengths.full(&inks),
            families: &strengths.full(&strengths.families),
            curves: &strengths.full(&curves),
            sheet: &Sheet::of(&full, &strengths.full(&curves)),
        };
        let plain = plain.fit()?;
        if !strengths.has_light_inks() {
            return Ok(plain);
        }
        let (strengths, sheet) = (&strengths, &Sheet::of(chart, &curves));
        LightInks { chart, request, inks: &inks, strengths, sheet }.added_to(plain)
    }
}

struct Fitting<'a> {
    chart: &'a Chart,
    request: &'a FitRequest<'a>,
    inks: &'a [String],
    families: &'a [String],
    curves: &'a [DeviceCurve],
    sheet: &'a Sheet<'a>,
}

/// The models of one round.
struct Models {
    set: InkSet,
    trials: Vec<Trial>,
    levels: Vec<Levels>,
    fitted: Vec<FittedModel>,
    chosen: usize,
}

impl Fitting<'_> {
    /// Fits, looks for what the model can't explain, and fits again without it.
    fn fit(&self) -> Result<Fit, FitError> {
        let mut aside = Aside::before_fitting(self.sheet, self.inks)?;
        let mut fitted = self.models(&aside.flags)?;
        if self.settle(&mut aside, &fitted)? {
            fitted = self.models(&aside.flags)?;
        }
        self.told(fitted, &aside)
    }

    /// Sets patches aside, and takes others back, until the chosen model explains all that it uses.
    /// Whether anything changed.
    fn settle(&self, aside: &mut Aside, fitted: &Models) -> Result<bool, FitError> {
        /// Each round may uncover what a wrong patch has hidden; our choice.
        const ROUNDS: usize = 6;
        let mut latest = fitted.trials[fitted.chosen].clone();
        let law = latest.law;
        let levels = &fitted.levels[fitted.chosen];
        let mut has_changed = false;
        for _ in 0..ROUNDS {
            if !aside.after_fitting(self.sheet, &latest, &MODEL) {
                break;
            }
            has_changed = true;
            let combinations = self.sheet.combinations(&aside.flags);
            let builder = self.builder(&combinations, levels)?;
            latest = trial(&builder, law, levels)?;
        }
        Ok(has_changed)
    }

    /// Fits all models without the patches set aside.
    fn models(&self, aside: &[bool]) -> Result<Models, FitError> {
        let combinations = self.sheet.combinations(aside);
        let solids = levels::solids(self.inks.len());
        let mut builder = self.builder(&combinations, &solids)?;
        self.refuse_invisible_solids(&builder)?;
        let tones = tones(&builder)?;
        let tone = |ink: usize, amount: f64| tone(&tones[ink], amount);
        let mut candidates = vec![solids];
        for complete in levels::COMPLETE {
            let cells = levels::cells(&combinations, self.inks.len(), &tone, complete);
            if !candidates.contains(&cells) {
                builder.spectra.extend(spectra(self.sheet, &combinations, &cells)?);
                candidates.push(cells);
            }
        }
        // Cells are nearly flat: what the law of ramps is, the plain model tells.
        let mut trials: Vec<Trial> = Vec::new();
        for own in &candidates {
            let of_kind = trials.first().map(|plain| plain.law);
            trials.push(best(&builder, own, aside, of_kind)?);
        }
        let chosen = chosen(&trials, aside);
        let fitted = candidates
            .iter()
            .zip(&trials)
            .map(|(own, trial)| self.model(&builder, own, trial, aside))
            .collect::<Result<_, _>>()?;
        let set = builder.set(trials[chosen].law, &candidates[chosen])?;
        Ok(Models { set, trials, levels: candidates, fitted, chosen })
    }

    fn told(&self, models: Models, aside: &Aside) -> Result<Fit, FitError> {
        let trial = &models.trials[models.chosen];
        Ok(Fit {
            bands: self.sheet.light.0,
            patches: self.sheet.patches.len(),
            worst: self.sheet.worst(trial, &aside.flags),
            suspects: aside.suspects(self.sheet, &trial.predicted),
            light_inks: None,
            assumptions: self.assumptions(),
            set: models.set,
            models: models.fitted,
            chosen: models.chosen,
        })
    }

    fn builder<'b>(
        &'b self,
        combinations: &'b Combinations,
        levels: &Levels,
    ) -> Result<SetBuilder<'b>, FitError> {
        Ok(SetBuilder {
            sheet: self.sheet,
            combinations,
            request: self.request,
            inks: self.inks,
            families: self.families,
            condition: condition(self.chart),
            backing: backing(self.chart),
            trapping: Share::MAX,
            spectra: spectra(self.sheet, combinations, levels)?,
            without_fold: None,
        })
    }

    fn refuse_invisible_solids(&self, builder: &SetBuilder<'_>) -> Result<(), FitError> {
        let lab = |patch: usize| self.sheet.patches[patch].lab;
        let paper = builder.paper()?.patch;
        for (ink, name) in self.inks.iter().enumerate() {
            let difference = delta_e_00(lab(paper), lab(builder.solid(ink)?.patch));
            if difference < LEAST_SOLID {
                return Err(FitError::InvisibleSolid { ink: name.clone(), difference });
            }
        }
        Ok(())
    }

    fn model(
        &self,
        builder: &SetBuilder<'_>,
        levels: &Levels,
        trial: &Trial,
        aside: &[bool],
    ) -> Result<FittedModel, FitError> {
        let nodes = levels::nodes(levels);
        let (measured, lacking): (Vec<_>, Vec<_>) =
            nodes.into_iter().partition(|amounts| builder.combinations.get(amounts).is_some());
        let estimates = builder.estimated_amounts(trial.law, levels)?;
        let (estimated, predicted): (Vec<_>, Vec<_>) =
            lacking.into_iter().partition(|amounts| estimates.contains(amounts));
        let named = |amounts: Vec<Vec<f64>>| amounts.iter().map(|a| self.named(a)).collect();
        let used = |place: &usize| !aside[*place];
        let fitted = (0..aside.len()).filter(used).map(|place| trial.fitted[place]);
        let left_out = (0..aside.len()).filter(used).filter_map(|place| trial.left_out[place]);
        Ok(FittedModel {
            levels: levels.iter().map(Vec::len).collect(),
            measured_primaries: measured.len(),
            estimated_primaries: named(estimated),
            predicted_primaries: named(predicted),
            law: trial.law,
            // The chart has a patch of paper, or there were no model.
            fitted: Accuracy::of(fitted).ok_or(FitError::NoPaper)?,
            left_out: Accuracy::of(left_out),
        })
    }

    /// "cyan 40 + magenta 100".
    fn named(&self, amounts: &[f64]) -> String {
        let parts: Vec<String> = self
            .inks
            .iter()
            .zip(amounts)
            .filter(|(_, amount)| **amount > 0.0)
            .map(|(ink, amount)| {
                let place = self.inks.iter().position(|other| other == ink).unwrap_or(0);
                let coverage = Coverage::from_fraction(*amount).unwrap_or(Coverage::MAX);
                let device = self.curves[place].device_value(coverage);
                format!("{ink} {:.0}", 100.0 * device.to_fraction())
            })
            .collect();
        parts.join(" + ")
    }

    fn assumptions(&self) -> Vec<String> {
        let base = &self.request.base.name;
        let mut all = vec![format!(
            "limits, print modes, separation and machine are those of ink set `{base}`"
        )];
        let unknown: Vec<&str> = self
            .inks
            .iter()
            .zip(self.curves)
            .filter(|(_, curve)| curve.is_unknown())
            .map(|(ink, _)| ink.as_str())
            .collect();
        if !unknown.is_empty() {
            all.push(format!(
                "device values of {} are taken as coverage through the default curve: a chart fixes \
                 colour, not volume",
                unknown.join(", ")
            ));
        }
        if self.sheet.light.0 == MixedBands::Tristimulus {
            all.push(
                "the chart has no spectra: X, Y and Z mix, and the spectra in the set are smooth \
                 stand-ins that hold for D50 alone"
                    .to_owned(),
            );
        }
        if self.chart.condition.is_none() {
            all.push("the chart states no measurement condition: M0 is written".to_owned());
        }
        if self.chart.backing.is_none() {
            all.push("the chart states no backing: white is written".to_owned());
        }
        all
    }
}

impl Sheet<'_> {
    pub(crate) fn worst(&self, trial: &Trial, aside: &[bool]) -> Vec<WorstPatch> {
        let mut places: Vec<usize> =
            (0..trial.fitted.len()).filter(|&place| !aside[place]).collect();
        places.sort_by(|&a, &b| trial.fitted[b].total_cmp(&trial.fitted[a]));
        places
            .into_iter()
            .take(WORST)
            .map(|place| {
                let read = self.patches[place].read;
                WorstPatch {
                    line: read.line,
                    sample: read.name.clone(),
                    device: read.device.clone(),
                    difference: trial.fitted[place],
                }
            })
            .collect()
    }
}

fn refuse_too_many_families(strengths: &Strengths) -> Result<(), FitError> {
    let families = strengths.full(&strengths.families).len();
    if families > MOST_FAMILIES { Err(FitError::TooManyFamilies { families }) } else { Ok(()) }
}

/// The model that is best on the patches that none of them took its figures from; where there are
/// none, the one with the most cells.
fn chosen(trials: &[Trial], aside: &[bool]) -> usize {
    let left_out_of_all = |place: &usize| {
        !aside[*place] && trials.iter().all(|trial| trial.left_out[*place].is_some())
    };
    let places: Vec<usize> = (0..aside.len()).filter(left_out_of_all).collect();
    let sum =
        |trial: &Trial| -> f64 { places.iter().filter_map(|&place| trial.left_out[place]).sum() };
    let last_of_the_best =
        |a: &usize, b: &usize| sum(&trials[*a]).total_cmp(&sum(&trials[*b])).then(b.cmp(a));
    (0..trials.len()).min_by(last_of_the_best).unwrap_or(0)
}

/// By ink: tones of the ramp's steps, for choosing levels.
fn tones(builder: &SetBuilder<'_>) -> Result<Vec<Vec<(f64, f64)>>, FitError> {
    let law = RampLaw::YuleNielsen { n: 2.0 };
    (0..builder.inks.len())
        .map(|ink| {
            let ramp = Ramp::new(&builder.ends(law, ink)?, &builder.combinations.ramp(ink));
            Ok(ramp.tones())
        })
        .collect()
}

fn tone(steps: &[(f64, f64)], amount: f64) -> f64 {
    let above = steps.partition_point(|step| step.0 < amount).clamp(1, steps.len() - 1);
    let (from, to) = (steps[above - 1], steps[above]);
    from.1 + (amount - from.0) / (to.0 - from.0) * (to.1 - from.1)
}

fn ink_names(chart: &Chart, request: &FitRequest<'_>) -> Result<Vec<String>, FitError> {
    let channels = chart.channels.len();
    if channels == 0 {
        return Err(FitError::NoDeviceValues);
    }
    if channels > MOST_INKS {
        return Err(FitError::TooManyInks { channels });
    }
    let inks = if request.inks.is_empty() { &chart.channels } else { &request.inks };
    if inks.len() != channels {
        let columns = chart.channels.join(", ");
        return Err(FitError::InkNames { named: inks.len(), channels, columns });
    }
    if inks.iter().any(|ink| ink.starts_with("channel ")) {
        return Err(FitError::UnnamedInks { channels });
    }
    match inks.iter().enumerate().find(|(place, ink)| inks[..*place].contains(ink)) {
        Some((_, ink)) => Err(FitError::InkTwice { ink: ink.clone() }),
        None => Ok(inks.clone()),
    }
}

/// What each ink's device values fire in the base's first print mode.
fn device_curves(inks: &[String], base: &InkSet) -> Result<Vec<DeviceCurve>, FitError> {
    let poor = || FitError::PoorBase { set: base.name.clone(), what: "print mode" };
    let mode = base.print_modes.first().ok_or_else(poor)?;
    inks.iter()
        .map(|ink| match curve_of(mode, ink) {
            DeviceCurve::Points(points) if !rises_to_the_end(&points) => {
                Err(FitError::UnfitCurve { ink: ink.clone(), set: base.name.clone() })
            }
            curve => Ok(curve),
        })
        .collect()
}

fn rises_to_the_end(points: &[(DeviceValue, Coverage)]) -> bool {
    points.windows(2).all(|pair| pair[0].1 < pair[1].1)
        && points.last().is_some_and(|last| last.1 == Coverage::MAX)
}

pub(crate) fn condition(chart: &Chart) -> MeasurementCondition {
    match chart.condition.as_deref() {
        Some("M1") => MeasurementCondition::M1,
        Some("M2") => MeasurementCondition::M2,
        Some("M3") => MeasurementCondition::M3,
        _ => MeasurementCondition::M0,
    }
}

pub(crate) fn backing(chart: &Chart) -> Backing {
    match chart.backing.as_deref() {
        Some("black") => Backing::Black,
        Some("self") => Backing::SelfBacking,
        _ => Backing::White,
    }
}
