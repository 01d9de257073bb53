use colour::{BANDS, Illuminant, Lab, Spectrum, Xyz};
use inkset::{InkSet, Substrate};
use units::Coverage;

use crate::family_ramp::{BandAmounts, FamilyRamp, factor};
use crate::primaries::{compressed, primaries};
use crate::solids::{by_band, solids_on};
use crate::{PrintModelError, yule_nielsen};

/// Name and revision of the print model; raised whenever it predicts other colours from the same
/// ink set.
pub const MODEL: &str = "yule-nielsen-neugebauer-1";

/// Predicts the colour of ink on one substrate.
pub struct PrintModel {
    n: f64,
    channels: usize,
    paper: Spectrum,
    paper_xyz: Xyz,
    families: Vec<ModelledFamily>,
    /// 2^F compressed overprints; bit f of the index says whether family f is present.
    primaries: Vec<[f64; BANDS]>,
    solids: Vec<Spectrum>,
}

struct ModelledFamily {
    name: String,
    /// Channels of the inks, lightest first, full strength last.
    channels: Vec<usize>,
    ramp: FamilyRamp,
}

/// A mixture of families with its slopes, as an inverse needs them.
#[derive(Clone, Debug)]
pub struct Mixture {
    /// Reflectance in each band.
    pub reflectance: [f64; BANDS],
    /// By family and band: slope of the reflectance over the family's amount in that band.
    pub slopes: Vec<[f64; BANDS]>,
}

impl PrintModel {
    /// Models the active inks of a set on one of its substrates.
    ///
    /// # Errors
    ///
    /// See [`PrintModelError`]; a set from [`InkSet::parse`] meets only `PartialPrimary`.
    pub fn new(set: &InkSet, substrate: &Substrate) -> Result<Self, PrintModelError> {
        let families = set.families(substrate);
        if !(1..=8).contains(&families.len()) {
            return Err(PrintModelError::TooManyFamilies { families: families.len() });
        }
        let solids = solids_on(set, substrate)?;
        let full: Vec<Spectrum> = families
            .iter()
            .filter_map(|family| family.channels.last().map(|&channel| solids[channel]))
            .collect();
        let n = factor(substrate.ramp_law);
        Ok(Self {
            n,
            channels: set.inks.len(),
            paper: substrate.white,
            paper_xyz: Illuminant::D50.tristimulus(&substrate.white),
            primaries: compressed(&primaries(substrate, &families, &full)?, n),
            families: families
                .into_iter()
                .map(|family| {
                    let inks: Vec<Spectrum> = family.channels.iter().map(|&c| solids[c]).collect();
                    ModelledFamily {
                        name: family.name.to_owned(),
                        ramp: FamilyRamp::new(substrate, family.name, &inks),
                        channels: family.channels,
                    }
                })
                .collect(),
            solids,
        })
    }

    /// Number of channels of the device, idle ones included.
    #[must_use]
    pub const fn channels(&self) -> usize {
        self.channels
    }

    /// Number of families in use.
    #[must_use]
    pub fn families(&self) -> usize {
        self.families.len()
    }

    /// Name of a family, counted from 0.
    #[must_use]
    pub fn family_name(&self, family: usize) -> &str {
        &self.families[family].name
    }

    /// Channels of a family's inks, lightest first, full strength last.
    #[must_use]
    pub fn family_channels(&self, family: usize) -> &[usize] {
        &self.families[family].channels
    }

    /// The solid of a channel on this substrate.
    #[must_use]
    pub fn solid(&self, channel: usize) -> &Spectrum {
        &self.solids[channel]
    }

    /// The unprinted substrate.
    #[must_use]
    pub const fn paper(&self) -> &Spectrum {
        &self.paper
    }

    /// The tint of one family for coverages of its inks, in the order of
    /// [`Self::family_channels`].
    #[must_use]
    pub fn tint(&self, family: usize, coverages: &[Coverage]) -> BandAmounts {
        self.families[family].ramp.tint(coverages)
    }

    /// The spectrum that channel coverages print: `coverages` by channel, idle ones ignored.
    #[must_use]
    pub fn spectrum(&self, coverages: &[Coverage]) -> Spectrum {
        let tints: Vec<BandAmounts> = self
            .families
            .iter()
            .map(|family| {
                let inks: Vec<Coverage> = family.channels.iter().map(|&c| coverages[c]).collect();
                family.ramp.tint(&inks)
            })
            .collect();
        let mixed = self.fold(&tints);
        by_band(|band| yule_nielsen::expand(mixed[band], self.n))
    }

    /// Media-relative CIELAB of a spectrum: paper is (100, 0, 0). D50, 2° observer.
    #[must_use]
    pub fn lab(&self, spectrum: &Spectrum) -> Lab {
        Illuminant::D50.tristimulus(spectrum).to_lab(self.paper_xyz)
    }

    /// Tristimulus values of the paper under D50, Y of the perfect diffuser 100.
    #[must_use]
    pub const fn paper_xyz(&self) -> Xyz {
        self.paper_xyz
    }

    /// The media-relative CIELAB that channel coverages print.
    #[must_use]
    pub fn predict(&self, coverages: &[Coverage]) -> Lab {
        self.lab(&self.spectrum(coverages))
    }

    /// Mixes one tint of each family, with slopes.
    ///
    /// The overprints are folded family by family, which takes 2^F steps in place of the F × 2^F
    /// products of Demichel's weights, and runs backwards once for all slopes.
    #[must_use]
    pub fn mixture(&self, tints: &[BandAmounts], workspace: &mut Vec<[f64; BANDS]>) -> Mixture {
        // Levels one after the other: 2^(F-1) mixtures after the last family, then half … 1.
        workspace.clear();
        for family in (0..self.families.len()).rev() {
            let count = 1 << family;
            let from = workspace.len().wrapping_sub(2 * count);
            for node in 0..count {
                let mixed = match workspace.get(from..) {
                    Some(level) => blend(&level[node], &level[count + node], &tints[family].0),
                    None => {
                        let [low, high] = [node, count + node].map(|place| &self.primaries[place]);
                        blend(low, high, &tints[family].0)
                    }
                };
                workspace.push(mixed);
            }
        }
        self.slopes(tints, workspace)
    }

    /// Runs the folding backwards, from the mixture at the end of the levels to the overprints.
    fn slopes(&self, tints: &[BandAmounts], levels: &[[f64; BANDS]]) -> Mixture {
        let compressed = levels.last().unwrap_or(&self.primaries[0]);
        let reflectance = compressed.map(|value| yule_nielsen::expand(value, self.n));
        let mut weights = Vec::with_capacity(self.primaries.len());
        weights.push(std::array::from_fn(|band| {
            self.n * reflectance[band] / compressed[band].max(f64::MIN_POSITIVE)
        }));
        let mut slopes = vec![[0.0; BANDS]; self.families.len()];
        let mut end = levels.len() - 1;
        for (family, slope) in slopes.iter_mut().enumerate() {
            let count = weights.len();
            let below = match end.checked_sub(2 * count) {
                Some(start) => &levels[start..end],
                None => &self.primaries[..],
            };
            end = end.saturating_sub(2 * count);
            let amount = &tints[family].0;
            for node in 0..count {
                let (low, high) = (&below[node], &below[count + node]);
                let weight: [f64; BANDS] = weights[node];
                let mut with = [0.0; BANDS];
                for band in 0..BANDS {
                    slope[band] += weight[band] * (high[band] - low[band]);
                    with[band] = weight[band] * amount[band];
                    weights[node][band] = weight[band] - with[band];
                }
                weights.push(with);
            }
        }
        Mixture { reflectance, slopes }
    }

    /// Folds the overprints family by family. Families that print nothing leave those without
    /// them as they are, so that only the overprints of the others are touched.
    fn fold(&self, tints: &[BandAmounts]) -> [f64; BANDS] {
        let mut printing = (0..tints.len()).filter(|&family| tints[family] != BandAmounts::NONE);
        let Some(last) = printing.next_back() else {
            return self.primaries[0];
        };
        let others: Vec<usize> = printing.collect();
        let mut mixed: Vec<[f64; BANDS]> = (0..1_usize << others.len())
            .map(|subset| {
                let present = others.iter().enumerate().filter(|(bit, _)| subset >> bit & 1 == 1);
                let under: usize = present.map(|(_, family)| 1 << family).sum();
                let over = under | 1 << last;
                blend(&self.primaries[under], &self.primaries[over], &tints[last].0)
            })
            .collect();
        for (bit, &family) in others.iter().enumerate().rev() {
            let (low, high) = mixed.split_at_mut(1 << bit);
            for (low, high) in low.iter_mut().zip(high) {
                *low = blend(low, high, &tints[family].0);
            }
        }
        mixed[0]
    }
}

/// Straight mixture of two overprints, band by band.
fn blend(low: &[f64; BANDS], high: &[f64; BANDS], amount: &[f64; BANDS]) -> [f64; BANDS] {
    std::array::from_fn(|band| low[band] + amount[band] * (high[band] - low[band]))
}
