use std::collections::BTreeMap;

use colour::Spectrum;
use inkset::{
    BLACK_FAMILY, Backing, DeviceCurve, EffectiveCoverageCurve, Ink, InkSet, MeasuredPrimary,
    MeasurementCondition, PrintMode, Provenance, RampLaw, SeparationDefaults, Solid, SolidSpectrum,
    Substrate,
};
use units::{Coverage, Reflectance, Share};

use crate::mixing_scale::MixingScale;
use crate::model::overprint_places;

use super::fit_error::FitError;
use super::levels::{Levels, nodes, solids};
use super::overprints::{Estimated, estimated};
use super::ramps::{Ends, Ramp};
use super::sheet::{Combination, Combinations, Key, LEAST_REFLECTANCE, Sheet, key};

/// What an ink set needs that no chart says.
#[derive(Clone, Debug)]
pub struct FitRequest<'set> {
    /// Names of the inks, channel by channel; empty for those of the chart.
    pub inks: Vec<String>,
    /// Families of the inks, channel by channel: inks of one family are strengths of one hue. Empty for
    /// those of the base's inks of the same names; an ink that the base lacks is a family of its own.
    pub families: Vec<String>,
    /// Name of the new set.
    pub name: String,
    /// One line for people.
    pub title: String,
    /// Name of the substrate that the chart was printed on.
    pub substrate: String,
    /// The set whose limits, print modes, separation and machine are taken over. The chart is taken
    /// as printed in its first mode.
    pub base: &'set InkSet,
}

/// Builds ink sets from a sheet.
pub(crate) struct SetBuilder<'a> {
    pub(crate) sheet: &'a Sheet<'a>,
    pub(crate) combinations: &'a Combinations,
    pub(crate) request: &'a FitRequest<'a>,
    pub(crate) inks: &'a [String],
    pub(crate) families: &'a [String],
    pub(crate) condition: MeasurementCondition,
    pub(crate) backing: Backing,
    pub(crate) trapping: Share,
    /// Spectra of the combinations that can become part of a set.
    pub(crate) spectra: BTreeMap<Key, Spectrum>,
    /// The fold whose patches must not take part in estimates, where there is one.
    pub(crate) without_fold: Option<usize>,
}

/// What an ink's device values fire in a mode, as far as it says.
pub(crate) fn curve_of(mode: &PrintMode, ink: &str) -> DeviceCurve {
    mode.device_curve.get(ink).cloned().unwrap_or(DeviceCurve::Unknown)
}

/// The spectra of paper, solids and of all measured combinations of some levels.
pub(crate) fn spectra(
    sheet: &Sheet<'_>,
    combinations: &Combinations,
    levels: &Levels,
) -> Result<BTreeMap<Key, Spectrum>, FitError> {
    nodes(levels)
        .iter()
        .filter_map(|amounts| Some((amounts, combinations.get(amounts)?)))
        .filter_map(|(amounts, combination)| match sheet.spectrum(combination) {
            // A reading that no spectrum adds up to is predicted, unless it is paper or a solid.
            Err(_) if !Combinations::is_ramp(amounts) => None,
            made => Some(made.map(|spectrum| (key(amounts), spectrum))),
        })
        .collect()
}

/// Share of the darkest reflectance that is taken for the bare surface: the format wants it to lie
/// below every spectrum, and light inks of known strength alone, which a chart's are not, need it.
const SURFACE_SHARE: f64 = 0.5;
/// Share of the lowest reflectance at which the darkest mixture is set. Our choice: the chart holds
/// nearly the darkest there is.
const ROOM: f64 = 0.9;

impl SetBuilder<'_> {
    /// The whole set for one ramp law and some levels.
    pub(crate) fn set(&self, law: RampLaw, levels: &Levels) -> Result<InkSet, FitError> {
        let base = self.request.base;
        let substrate = self.substrate(law, levels)?;
        let mut set = InkSet {
            name: self.request.name.clone(),
            title: self.request.title.clone(),
            // The set is as good as its print modes, which come from the base.
            provenance: base.provenance,
            inks: self.all_inks()?,
            print_modes: base.print_modes.iter().map(|mode| self.print_mode(mode)).collect(),
            separation: self.separation()?,
            machine: base.machine.clone(),
            substrates: vec![substrate],
        };
        let estimates = self.estimates(law, &set)?;
        for estimate in &estimates {
            // An estimate that no surface has, as laws far from the print's make, is left to be predicted.
            set.substrates[0].primaries.extend(self.estimated_primary(estimate).ok());
        }
        Ok(set)
    }

    /// The same builder, blind to the mixtures of a fold.
    pub(crate) fn without_fold(&self, fold: usize) -> Self {
        Self { spectra: self.spectra.clone(), without_fold: Some(fold), ..*self }
    }

    /// Rounds of leaving out in turn.
    pub(crate) const FOLDS: usize = 5;

    /// The overprints that the chart lacks, as far as its mixtures show them.
    fn estimates(&self, law: RampLaw, set: &InkSet) -> Result<Vec<Estimated>, FitError> {
        let counts = |patch: usize| self.without_fold != Some(patch % Self::FOLDS);
        if self.lacks_no_solids() {
            return Ok(Vec::new());
        }
        let predicted = overprint_places(set, &set.substrates[0])?;
        estimated(self, law, &predicted, &counts)
    }

    /// Amounts of the overprints that are estimated.
    pub(crate) fn estimated_amounts(
        &self,
        law: RampLaw,
        levels: &Levels,
    ) -> Result<Vec<Vec<f64>>, FitError> {
        let set = self.set(law, levels)?;
        let estimates = self.estimates(law, &set)?;
        Ok(estimates.into_iter().map(|estimate| estimate.amounts).collect())
    }

    /// Whether the chart holds all overprints of solids.
    pub(crate) fn lacks_no_solids(&self) -> bool {
        let all = nodes(&solids(self.sheet.inks));
        all.iter().all(|amounts| self.combinations.get(amounts).is_some())
    }

    fn estimated_primary(&self, estimate: &Estimated) -> Result<MeasuredPrimary, FitError> {
        Ok(MeasuredPrimary {
            amounts: self.named(&estimate.amounts),
            spectrum: self.sheet.spectrum_of(&estimate.values, 0)?,
        })
    }

    fn named(&self, amounts: &[f64]) -> BTreeMap<String, Coverage> {
        let present = self.families.iter().zip(amounts).filter(|(_, amount)| **amount > 0.0);
        present
            .filter_map(|(family, a)| Some((family.clone(), Coverage::from_fraction(*a).ok()?)))
            .collect()
    }

    /// Lowest reflectance that anything on the sheet shows, as a file writes it, with a little room
    /// for mixtures between patches.
    pub(crate) fn darkest(&self) -> f64 {
        let of_spectra = self.spectra.values().flat_map(Spectrum::bands).copied();
        let of_patches = self.combinations.iter().flat_map(|(_, patch)| patch.values);
        let lowest = of_spectra.chain(of_patches).fold(0.5, f64::min);
        (lowest.max(LEAST_REFLECTANCE) * ROOM * 1e6).floor() / 1e6
    }

    /// The ends of an ink's ramp under a law.
    pub(crate) fn ends(&self, law: RampLaw, ink: usize) -> Result<Ends, FitError> {
        let [paper, solid] = [self.paper()?, self.solid(ink)?];
        Ok(Ends::new(law, self.darkest(), &paper.values, &solid.values))
    }

    /// The scale on which mixtures lie straight under a law.
    pub(crate) fn scale(&self, law: RampLaw) -> Result<MixingScale, FitError> {
        Ok(MixingScale::new(law, &self.paper()?.values))
    }

    pub(crate) fn paper(&self) -> Result<&Combination, FitError> {
        self.combinations.get(&vec![0.0; self.sheet.inks]).ok_or(FitError::NoPaper)
    }

    pub(crate) fn solid(&self, ink: usize) -> Result<&Combination, FitError> {
        let alone: Vec<f64> =
            (0..self.sheet.inks).map(|other| if other == ink { 1.0 } else { 0.0 }).collect();
        let missing = || FitError::NoSolid { ink: self.inks[ink].clone() };
        self.combinations.get(&alone).ok_or_else(missing)
    }

    fn spectrum_of(&self, combination: &Combination) -> Result<Spectrum, FitError> {
        let amounts = &self.sheet.patches[combination.patch].amounts;
        let known = self.spectra.get(&key(amounts));
        known.copied().map_or_else(|| self.sheet.spectrum(combination), Ok)
    }

    fn all_inks(&self) -> Result<Vec<Ink>, FitError> {
        self.inks
            .iter()
            .enumerate()
            .map(|(place, name)| {
                let base = self.request.base.inks.iter().find(|ink| ink.name == *name);
                Ok(Ink {
                    name: name.clone(),
                    family: self.families[place].clone(),
                    solid: Solid::Full(SolidSpectrum {
                        spectrum: self.spectrum_of(self.solid(place)?)?,
                        condition: self.condition,
                        backing: self.backing,
                        printed_on: self.request.substrate.clone(),
                    }),
                    limit: base.map_or(Coverage::MAX, |ink| ink.limit),
                    cartridge: base.and_then(|ink| ink.cartridge),
                    provenance: Provenance::Measured,
                })
            })
            .collect()
    }

    fn substrate(&self, law: RampLaw, levels: &Levels) -> Result<Substrate, FitError> {
        let base = self.request.base.substrates.first();
        let base = base.ok_or_else(|| self.poor_base("substrate"))?;
        let reflectance = |value: f64| Reflectance::from_unit(value).unwrap_or(Reflectance::MIN);
        let darkest = self.darkest();
        Ok(Substrate {
            name: self.request.substrate.clone(),
            white: self.spectrum_of(self.paper()?)?,
            condition: self.condition,
            backing: self.backing,
            active_black: self.black(),
            load_limit: base.load_limit,
            total_area_coverage_limit: base.total_area_coverage_limit,
            darkest_reflectance: reflectance(darkest),
            surface_reflectance: reflectance(SURFACE_SHARE * darkest),
            trapping: self.trapping,
            ramp_law: law,
            mixed_bands: self.sheet.light.0,
            curves: self.curves(law)?,
            primaries: self.primaries(levels)?,
            provenance: Provenance::Measured,
        })
    }

    /// The ink of the black family.
    fn black(&self) -> Option<String> {
        let place = self.families.iter().position(|family| family == BLACK_FAMILY)?;
        Some(self.inks[place].clone())
    }

    fn curves(&self, law: RampLaw) -> Result<BTreeMap<String, EffectiveCoverageCurve>, FitError> {
        (0..self.inks.len())
            .map(|ink| {
                let ramp = Ramp::new(&self.ends(law, ink)?, &self.combinations.ramp(ink));
                Ok((self.families[ink].clone(), ramp.curve(self.sheet.light.0)))
            })
            .collect()
    }

    /// The measured combinations of levels, but paper and single solids, which stand elsewhere.
    fn primaries(&self, levels: &Levels) -> Result<Vec<MeasuredPrimary>, FitError> {
        let mut primaries = Vec::new();
        for amounts in nodes(levels) {
            let is_end =
                Combinations::is_ramp(&amounts) && amounts.iter().all(|a| a.fract() == 0.0);
            let Some(combination) = self.combinations.get(&amounts).filter(|_| !is_end) else {
                continue;
            };
            // What no spectrum adds up to is left to be predicted.
            if let Ok(spectrum) = self.spectrum_of(combination) {
                primaries.push(MeasuredPrimary { amounts: self.named(&amounts), spectrum });
            }
        }
        Ok(primaries)
    }

    /// The mode with the inks' device curves: known, or unknown where the base doesn't know them,
    /// because a chart fixes colour, not volume.
    fn print_mode(&self, mode: &PrintMode) -> PrintMode {
        let of_set = |name: &String| self.inks.contains(name);
        PrintMode {
            lay_down: mode
                .lay_down
                .iter()
                .filter(|(name, _)| of_set(name))
                .map(|(name, lay_down)| (name.clone(), *lay_down))
                .collect(),
            device_curve: self.inks.iter().map(|ink| (ink.clone(), curve_of(mode, ink))).collect(),
            ..mode.clone()
        }
    }

    fn separation(&self) -> Result<SeparationDefaults, FitError> {
        let SeparationDefaults::Built(built) = &self.request.base.separation else {
            return Err(self.poor_base("built separation"));
        };
        let mut built = built.clone();
        built.crossover.clear();
        built.family_limits.retain(|family, _| self.families.contains(family));
        Ok(SeparationDefaults::Built(built))
    }

    fn poor_base(&self, what: &'static str) -> FitError {
        FitError::PoorBase { set: self.request.base.name.clone(), what }
    }
}
