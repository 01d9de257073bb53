use std::collections::BTreeSet;

use charts::{Chart, Patch};
use colour::delta_e_00;
use inkset::{Ink, InkSet, SeparationDefaults, Solid, SolidSpectrum};
use units::{Coverage, DeviceValue};

use crate::PrintModel;

use super::accuracy::Accuracy;
use super::fit::{Fit, backing, condition};
use super::fit_error::FitError;
use super::measured_set::{FitRequest, curve_of};
use super::ramps::{Ends, Ramp};
use super::search::{Trial, left_out_of_ramp, predictions};
use super::sheet::{Combinations, Sheet, key};
use super::suspects::{Aside, MODEL_WITH_LIGHT_INKS};

/// Which inks of a chart are light ones.
pub(crate) struct Strengths {
    /// By channel: the family.
    pub(crate) families: Vec<String>,
    /// By channel: whether another ink of the family is stronger.
    pub(crate) is_light: Vec<bool>,
}

/// How well a fitted set predicts the patches that hold light inks.
#[derive(Clone, Debug, PartialEq)]
pub struct LightInksFit {
    /// The light inks, by name.
    pub inks: Vec<String>,
    /// All patches with light inks but the suspects.
    pub fitted: Accuracy,
    /// Those that gave no solid and, at their own step, no curve; `None` without any.
    pub left_out: Option<Accuracy>,
}

impl Strengths {
    /// Of the inks of one family the full-strength one is that whose solid lies furthest from paper.
    pub(crate) fn of(
        chart: &Chart,
        inks: &[String],
        request: &FitRequest<'_>,
    ) -> Result<Self, FitError> {
        let families = families(inks, request)?;
        let mut is_light = vec![false; inks.len()];
        for (channel, family) in families.iter().enumerate() {
            if families.iter().filter(|other| *other == family).count() < 2 {
                continue;
            }
            let reach = |channel: usize| reach(chart, channel, &inks[channel]);
            let own = reach(channel)?;
            for other in (0..inks.len()).filter(|&o| o != channel && families[o] == *family) {
                let theirs = reach(other)?;
                is_light[channel] |= theirs > own || theirs == own && other < channel;
            }
        }
        Ok(Self { families, is_light })
    }

    pub(crate) fn has_light_inks(&self) -> bool {
        self.is_light.contains(&true)
    }

    /// What belongs to the full-strength inks of a list with one entry for each channel.
    pub(crate) fn full<T: Clone>(&self, of_channels: &[T]) -> Vec<T> {
        let full = of_channels.iter().zip(&self.is_light).filter(|(_, light)| !**light);
        full.map(|(entry, _)| entry.clone()).collect()
    }

    /// The chart of the full-strength inks: its patches without light ink.
    pub(crate) fn full_strength_chart(&self, chart: &Chart) -> Chart {
        let is_without = |patch: &&Patch| {
            let lights = patch.device.iter().zip(&self.is_light).filter(|(_, light)| **light);
            lights.into_iter().all(|(value, _)| *value == DeviceValue::MIN)
        };
        let patches = chart.patches.iter().filter(is_without);
        Chart {
            channels: self.full(&chart.channels),
            patches: patches
                .map(|patch| Patch { device: self.full(&patch.device), ..patch.clone() })
                .collect(),
            ..chart.clone()
        }
    }
}

/// The families that were asked for; else those that the base gives to inks of these names; else a
/// family for each ink.
fn families(inks: &[String], request: &FitRequest<'_>) -> Result<Vec<String>, FitError> {
    if request.families.is_empty() {
        let of_base = |ink: &String| {
            let known = request.base.inks.iter().find(|known| known.name == *ink);
            known.map_or_else(|| ink.clone(), |known| known.family.clone())
        };
        return Ok(inks.iter().map(of_base).collect());
    }
    if request.families.len() == inks.len() {
        return Ok(request.families.clone());
    }
    Err(FitError::FamilyNames { named: request.families.len(), inks: inks.len() })
}

/// ΔE00 between paper and an ink's solid.
fn reach(chart: &Chart, channel: usize, ink: &str) -> Result<f64, FitError> {
    let with = |value: DeviceValue| {
        chart.patches.iter().find(|patch| {
            let mut device = patch.device.iter().enumerate();
            device.all(|(c, v)| *v == if c == channel { value } else { DeviceValue::MIN })
        })
    };
    let paper = with(DeviceValue::MIN).ok_or(FitError::NoPaper)?;
    let solid = with(DeviceValue::MAX).ok_or_else(|| FitError::NoSolid { ink: ink.to_owned() })?;
    Ok(delta_e_00(paper.measurement.lab(), solid.measurement.lab()))
}

/// Adds the light inks of a chart to the set that was fitted to its full-strength inks.
///
/// A light ink is measured by its solid and its ramp. How light and full-strength dots overlap is
/// predicted: the patches that hold both at once are left out of the fit and judge it.
pub(crate) struct LightInks<'a> {
    pub(crate) chart: &'a Chart,
    pub(crate) request: &'a FitRequest<'a>,
    pub(crate) inks: &'a [String],
    pub(crate) strengths: &'a Strengths,
    pub(crate) sheet: &'a Sheet<'a>,
}

impl LightInks<'_> {
    pub(crate) fn added_to(&self, plain: Fit) -> Result<Fit, FitError> {
        let mut aside = Aside::before_fitting(self.sheet, self.inks)?;
        aside.take_over(self.sheet, &plain.suspects);
        let mut set = self.set(&plain.set, &aside)?;
        let mut trial = self.trial(&set, &aside)?;
        if aside.after_fitting(self.sheet, &trial, &MODEL_WITH_LIGHT_INKS) {
            set = self.set(&plain.set, &aside)?;
            trial = self.trial(&set, &aside)?;
        }
        let figures = self.figures(&trial, &aside)?;
        Ok(Fit {
            patches: self.sheet.patches.len(),
            worst: self.sheet.worst(&trial, &aside.flags),
            suspects: aside.suspects(self.sheet, &trial.predicted),
            light_inks: Some(figures),
            set,
            ..plain
        })
    }

    /// The set with the light inks in their places.
    fn set(&self, plain: &InkSet, aside: &Aside) -> Result<InkSet, FitError> {
        let combinations = self.sheet.combinations(&aside.flags);
        let mut set = plain.clone();
        set.inks.clear();
        for (channel, name) in self.inks.iter().enumerate() {
            if let Some(known) = plain.inks.iter().find(|ink| ink.name == *name) {
                set.inks.push(known.clone());
                continue;
            }
            let (ends, ramp) = self.ramp(plain, &combinations, channel)?;
            let ramp = Ramp::new(&ends, &ramp);
            let curve = ramp.curve(self.sheet.light.0);
            set.substrates[0].curves.insert(name.clone(), curve);
            set.inks.push(self.ink(&combinations, channel)?);
        }
        self.take_over_modes(&mut set);
        self.refuse_strong_light_inks(&set)?;
        Ok(set)
    }

    fn ink(&self, combinations: &Combinations, channel: usize) -> Result<Ink, FitError> {
        let name = &self.inks[channel];
        let missing = || FitError::NoSolid { ink: name.clone() };
        let ramp = combinations.ramp(channel);
        let (_, solid) = ramp.last().filter(|(a, _)| *a == 1.0).ok_or_else(missing)?;
        let base = self.request.base.inks.iter().find(|ink| ink.name == *name);
        Ok(Ink {
            name: name.clone(),
            family: self.strengths.families[channel].clone(),
            solid: Solid::LightBySpectrum {
                solid: SolidSpectrum {
                    spectrum: self.sheet.spectrum(solid)?,
                    condition: condition(self.chart),
                    backing: backing(self.chart),
                    printed_on: self.request.substrate.clone(),
                },
                stated_strength: None,
            },
            limit: base.map_or(Coverage::MAX, |ink| ink.limit),
            cartridge: base.and_then(|ink| ink.cartridge),
            provenance: inkset::Provenance::Measured,
        })
    }

    /// A light ink's ramp from paper to its own solid.
    fn ramp(
        &self,
        plain: &InkSet,
        combinations: &Combinations,
        channel: usize,
    ) -> Result<(Ends, Vec<(f64, super::sheet::Combination)>), FitError> {
        let steps = combinations.ramp(channel);
        let (Some((0.0, paper)), Some((1.0, solid))) = (steps.first(), steps.last()) else {
            return Err(FitError::NoSolid { ink: self.inks[channel].clone() });
        };
        let substrate = &plain.substrates[0];
        let darkest = substrate.darkest_reflectance.to_unit();
        Ok((Ends::new(substrate.ramp_law, darkest, &paper.values, &solid.values), steps))
    }

    /// Lay-downs, device curves and crossovers of the light inks, as far as the base has them.
    fn take_over_modes(&self, set: &mut InkSet) {
        let base = self.request.base;
        let lights = self.inks.iter().zip(&self.strengths.is_light).filter(|(_, light)| **light);
        for (name, _) in lights {
            for (mode, of_base) in set.print_modes.iter_mut().zip(&base.print_modes) {
                if let Some(lay_down) = of_base.lay_down.get(name) {
                    mode.lay_down.insert(name.clone(), *lay_down);
                }
                mode.device_curve.insert(name.clone(), curve_of(of_base, name));
            }
            if let (SeparationDefaults::Built(built), SeparationDefaults::Built(of_base)) =
                (&mut set.separation, &base.separation)
                && let Some(crossover) = of_base.crossover.get(name)
            {
                built.crossover.insert(name.clone(), *crossover);
            }
        }
    }

    fn refuse_strong_light_inks(&self, set: &InkSet) -> Result<(), FitError> {
        for ink in set.inks.iter().filter(|ink| !ink.is_full_strength()) {
            let Some(full) = set.full_strength_of(&ink.family, set.substrates.first()) else {
                continue;
            };
            let strength = set.strength(ink, full);
            if !(strength > 0.0 && strength < 1.0) {
                let (ink, full) = (ink.name.clone(), full.name.clone());
                return Err(FitError::NoLightInk { ink, full, strength });
            }
        }
        Ok(())
    }

    fn trial(&self, set: &InkSet, aside: &Aside) -> Result<Trial, FitError> {
        let model = PrintModel::new(set, &set.substrates[0])?;
        let (predicted, fitted) = predictions(&model, self.sheet);
        let combinations = self.sheet.combinations(&aside.flags);
        let mut left_out: Vec<Option<f64>> = vec![None; fitted.len()];
        for (place, patch) in self.sheet.patches.iter().enumerate() {
            if self.holds_light_ink(&patch.amounts) && !Combinations::is_ramp(&patch.amounts) {
                left_out[place] = Some(fitted[place]);
            }
        }
        for channel in (0..self.inks.len()).filter(|&channel| self.strengths.is_light[channel]) {
            let (ends, steps) = self.ramp(set, &combinations, channel)?;
            let of_ramp = left_out_of_ramp(&ends, &steps);
            for (combination, values) in of_ramp {
                let own = key(&self.sheet.patches[combination.patch].amounts);
                let same = |place: &usize| key(&self.sheet.patches[*place].amounts) == own;
                for place in (0..fitted.len()).filter(same) {
                    left_out[place] = Some(self.sheet.difference(&values, place));
                }
            }
        }
        Ok(Trial { law: set.substrates[0].ramp_law, predicted, fitted, left_out })
    }

    fn holds_light_ink(&self, amounts: &[f64]) -> bool {
        amounts.iter().zip(&self.strengths.is_light).any(|(amount, light)| *light && *amount > 0.0)
    }

    fn figures(&self, trial: &Trial, aside: &Aside) -> Result<LightInksFit, FitError> {
        let places: Vec<usize> = (0..trial.fitted.len())
            .filter(|&place| !aside.flags[place])
            .filter(|&place| self.holds_light_ink(&self.sheet.patches[place].amounts))
            .collect();
        let lights: BTreeSet<&String> = self
            .inks
            .iter()
            .zip(&self.strengths.is_light)
            .filter_map(|(ink, light)| light.then_some(ink))
            .collect();
        let fitted = Accuracy::of(places.iter().map(|&place| trial.fitted[place]));
        Ok(LightInksFit {
            inks: self.inks.iter().filter(|ink| lights.contains(ink)).cloned().collect(),
            // Each light ink has its solid, or there were no set.
            fitted: fitted.ok_or(FitError::NoPaper)?,
            left_out: Accuracy::of(places.iter().filter_map(|&place| trial.left_out[place])),
        })
    }
}
