use std::collections::BTreeMap;

use charts::{Chart, Measured, Patch};
use colour::{BANDS, Lab, Spectrum, delta_e_00};
use inkset::{DeviceCurve, MixedBands};
use units::DeviceValue;

use crate::light_bands::{LightBands, repeated};

use super::fit_error::FitError;

/// The patches of a chart as the fit sees them.
pub(crate) struct Sheet<'chart> {
    pub(crate) inks: usize,
    pub(crate) light: LightBands,
    pub(crate) patches: Vec<SheetPatch<'chart>>,
}

/// One patch.
pub(crate) struct SheetPatch<'chart> {
    /// Coverage of each ink, from its device value.
    pub(crate) amounts: Vec<f64>,
    /// What mixes.
    pub(crate) values: [f64; BANDS],
    pub(crate) lab: Lab,
    pub(crate) read: &'chart Patch,
}

/// The values of the patches of one combination of amounts, averaged.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Combination {
    pub(crate) values: [f64; BANDS],
    /// The first of the patches.
    pub(crate) patch: usize,
}

/// Amounts in a form that can be ordered.
pub(crate) type Key = Vec<u64>;

/// Patches by their amounts.
pub(crate) struct Combinations(BTreeMap<Key, Combination>);

impl<'chart> Sheet<'chart> {
    /// `curves` give what each ink's device values fire.
    pub(crate) fn of(chart: &'chart Chart, curves: &[DeviceCurve]) -> Self {
        let kind = match chart.measured {
            Measured::Spectra => MixedBands::Spectral,
            Measured::Tristimulus | Measured::Cielab => MixedBands::Tristimulus,
        };
        let patches = chart
            .patches
            .iter()
            .map(|read| SheetPatch {
                amounts: read
                    .device
                    .iter()
                    .zip(curves)
                    .map(|(v, curve)| coverage(curve, *v))
                    .collect(),
                values: values(read),
                lab: read.measurement.lab(),
                read,
            })
            .collect();
        Self { inks: chart.channels.len(), light: LightBands(kind), patches }
    }

    /// The combinations of amounts among the patches that are not set aside.
    pub(crate) fn combinations(&self, aside: &[bool]) -> Combinations {
        let mut sums: BTreeMap<Key, (Combination, f64)> = BTreeMap::new();
        for (place, patch) in self.patches.iter().enumerate() {
            if aside[place] {
                continue;
            }
            let fresh = (Combination { values: [0.0; BANDS], patch: place }, 0.0);
            let (sum, count) = sums.entry(key(&patch.amounts)).or_insert(fresh);
            *count += 1.0;
            for (sum, value) in sum.values.iter_mut().zip(patch.values) {
                *sum += value;
            }
        }
        let mean = |(sum, count): (Combination, f64)| Combination {
            values: sum.values.map(|value| value / count),
            ..sum
        };
        Combinations(sums.into_iter().map(|(key, sum)| (key, mean(sum))).collect())
    }

    /// A spectrum of averaged values, rounded as an ink-set file writes it.
    pub(crate) fn spectrum(&self, combination: &Combination) -> Result<Spectrum, FitError> {
        self.spectrum_of(&combination.values, self.patches[combination.patch].read.line)
    }

    /// A spectrum of values; a refusal names the line.
    pub(crate) fn spectrum_of(
        &self,
        values: &[f64; BANDS],
        line: usize,
    ) -> Result<Spectrum, FitError> {
        let refused = |cause| FitError::NotASurface { line, cause };
        let spectrum = match self.light.0 {
            MixedBands::Spectral => Spectrum::new(*values).map_err(refused)?,
            MixedBands::Tristimulus => {
                let seen = values.map(|value| value.max(LEAST_REFLECTANCE));
                Spectrum::smoothest(self.light.tristimulus(&seen)).map_err(refused)?
            }
        };
        // What reads as nothing is noise around the darkest that an instrument resolves.
        let written = spectrum.bands().map(|r| rounded(r).max(LEAST_REFLECTANCE));
        Spectrum::new(written).map_err(refused)
    }

    /// ΔE00 between some values and a patch.
    pub(crate) fn difference(&self, values: &[f64; BANDS], patch: usize) -> f64 {
        let white = colour::Illuminant::D50.white();
        delta_e_00(self.light.tristimulus(values).to_lab(white), self.patches[patch].lab)
    }
}

/// Instruments resolve no less; our choice.
pub(crate) const LEAST_REFLECTANCE: f64 = 1e-4;

/// Decimals of a reflectance in a file: a tenth of what instruments print.
pub(crate) fn rounded(reflectance: f64) -> f64 {
    (reflectance * 1e6).round() / 1e6
}

/// Rounded as a file writes percentages: to four decimals.
pub(crate) fn percent_rounded(fraction: f64) -> f64 {
    (fraction * 1e6).round() / 1e4 / 100.0
}

fn coverage(curve: &DeviceCurve, device: DeviceValue) -> f64 {
    percent_rounded(curve.coverage(device).to_fraction())
}

fn values(patch: &Patch) -> [f64; BANDS] {
    match patch.measurement.spectrum() {
        Some(spectrum) => *spectrum.bands(),
        None => {
            let (xyz, white) = (patch.measurement.xyz(), colour::Illuminant::D50.white());
            repeated([xyz.x / white.x, xyz.y / white.y, xyz.z / white.z])
        }
    }
}

pub(crate) fn key(amounts: &[f64]) -> Key {
    amounts.iter().map(|amount| (amount + 0.0).to_bits()).collect()
}

impl Combinations {
    pub(crate) fn get(&self, amounts: &[f64]) -> Option<&Combination> {
        self.0.get(&key(amounts))
    }

    /// All combinations in a fixed order.
    pub(crate) fn iter(&self) -> impl Iterator<Item = (Vec<f64>, &Combination)> {
        self.0.iter().map(|(key, combination)| {
            (key.iter().map(|&bits| f64::from_bits(bits)).collect(), combination)
        })
    }

    /// The ramp of one ink alone, by rising amounts: paper first.
    pub(crate) fn ramp(&self, ink: usize) -> Vec<(f64, Combination)> {
        let alone = |amounts: &[f64]| {
            amounts.iter().enumerate().all(|(other, amount)| other == ink || *amount == 0.0)
        };
        let mut ramp: Vec<(f64, Combination)> = self
            .iter()
            .filter(|(amounts, _)| alone(amounts))
            .map(|(amounts, combination)| (amounts[ink], *combination))
            .collect();
        ramp.sort_by(|one, other| one.0.total_cmp(&other.0));
        ramp
    }

    /// Whether a combination is paper or one ink alone.
    pub(crate) fn is_ramp(amounts: &[f64]) -> bool {
        amounts.iter().filter(|amount| **amount > 0.0).count() < 2
    }
}
