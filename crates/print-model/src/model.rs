use colour::{BANDS, Lab, Spectrum, Xyz};
use inkset::{InkSet, Substrate};
use units::Coverage;

use crate::PrintModelError;
use crate::cells::{Cell, Cells, blend};
use crate::family_ramp::{BandAmounts, FamilyRamp};
use crate::light_bands::LightBands;
use crate::mixing_scale::MixingScale;
use crate::primaries::cells;
use crate::solids::solids_on;

/// Name and revision of the print model; raised whenever it predicts other colours from the same
/// ink set.
pub const MODEL: &str = "yule-nielsen-neugebauer-1";

/// Families of inks that are modelled: their overprints double with each.
const MOST_FAMILIES: usize = 8;

/// Predicts the colour of ink on one substrate.
pub struct PrintModel {
    scale: MixingScale,
    channels: usize,
    paper: Spectrum,
    paper_xyz: Xyz,
    families: Vec<ModelledFamily>,
    light: LightBands,
    cells: Cells,
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
    /// See [`PrintModelError`]; a set from [`InkSet::parse`] meets only `TooManyCells`.
    pub fn new(set: &InkSet, substrate: &Substrate) -> Result<Self, PrintModelError> {
        let families = set.families(substrate);
        if !(1..=MOST_FAMILIES).contains(&families.len()) {
            return Err(PrintModelError::TooManyFamilies { families: families.len() });
        }
        let solids = solids_on(set, substrate)?;
        let full: Vec<Spectrum> = families
            .iter()
            .filter_map(|family| family.channels.last().map(|&channel| solids[channel]))
            .collect();
        let light = LightBands(substrate.mixed_bands);
        let modelled: Vec<ModelledFamily> = families
            .iter()
            .map(|family| {
                let inks: Vec<(&str, Spectrum)> = family
                    .channels
                    .iter()
                    .map(|&channel| (set.inks[channel].name.as_str(), solids[channel]))
                    .collect();
                ModelledFamily {
                    name: family.name.to_owned(),
                    ramp: FamilyRamp::new(substrate, family.name, &inks),
                    channels: family.channels.clone(),
                }
            })
            .collect();
        let ramps: Vec<&FamilyRamp> = modelled.iter().map(|family| &family.ramp).collect();
        Ok(Self {
            scale: MixingScale::new(substrate.ramp_law, &light.of(&substrate.white)),
            channels: set.inks.len(),
            paper: substrate.white,
            paper_xyz: light.tristimulus(&light.of(&substrate.white)),
            light,
            cells: cells(substrate, &families, &full, &ramps)?,
            families: modelled,
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
    ///
    /// Where tristimulus values mix it is the smoothest spectrum that adds up to them.
    #[must_use]
    pub fn spectrum(&self, coverages: &[Coverage]) -> Spectrum {
        self.light.spectrum(&self.mixed(coverages))
    }

    /// The tristimulus values under D50 that channel coverages print.
    #[must_use]
    pub fn xyz(&self, coverages: &[Coverage]) -> Xyz {
        self.light.tristimulus(&self.mixed(coverages))
    }

    /// The tristimulus values under D50 of a mixture's reflectances, or their slopes.
    #[must_use]
    pub fn tristimulus(&self, reflectance: &[f64; BANDS]) -> Xyz {
        self.light.tristimulus(reflectance)
    }

    fn mixed(&self, coverages: &[Coverage]) -> [f64; BANDS] {
        let mut tints = [BandAmounts::NONE; MOST_FAMILIES];
        let mut inks = Vec::new();
        for (tint, family) in tints.iter_mut().zip(&self.families) {
            inks.clear();
            inks.extend(family.channels.iter().map(|&channel| coverages[channel]));
            *tint = family.ramp.tint(&inks);
        }
        self.scale.reflectances(&self.cells.mixed(&tints[..self.families.len()]))
    }

    /// Media-relative CIELAB of a spectrum: paper is (100, 0, 0). D50, 2° observer.
    #[must_use]
    pub fn lab(&self, spectrum: &Spectrum) -> Lab {
        self.light.tristimulus(&self.light.of(spectrum)).to_lab(self.paper_xyz)
    }

    /// Tristimulus values of the paper under D50, Y of the perfect diffuser 100.
    #[must_use]
    pub const fn paper_xyz(&self) -> Xyz {
        self.paper_xyz
    }

    /// The media-relative CIELAB that channel coverages print.
    #[must_use]
    pub fn predict(&self, coverages: &[Coverage]) -> Lab {
        self.xyz(coverages).to_lab(self.paper_xyz)
    }

    /// Mixes one tint of each family, with slopes.
    ///
    /// The overprints are folded family by family, which takes 2^F steps in place of the F × 2^F
    /// products of Demichel's weights, and runs backwards once for all slopes.
    #[must_use]
    pub fn mixture(&self, tints: &[BandAmounts], workspace: &mut Vec<[f64; BANDS]>) -> Mixture {
        if let Some(corners) = self.cells.single() {
            return self.mixture_of(corners, tints, workspace);
        }
        let Cell { corners, places, slopes } = self.cells.cell(tints);
        let mut mixture = self.mixture_of(&corners, &places, workspace);
        for (slope, inner) in mixture.slopes.iter_mut().zip(slopes) {
            for (slope, inner) in slope.iter_mut().zip(inner) {
                *slope *= inner;
            }
        }
        mixture
    }

    fn mixture_of(
        &self,
        corners: &[[f64; BANDS]],
        tints: &[BandAmounts],
        workspace: &mut Vec<[f64; BANDS]>,
    ) -> Mixture {
        // Levels one after the other: 2^(F-1) mixtures after the last family, then half … 1.
        workspace.clear();
        for family in (0..self.families.len()).rev() {
            let count = 1 << family;
            let from = workspace.len().wrapping_sub(2 * count);
            for node in 0..count {
                let mixed = match workspace.get(from..) {
                    Some(level) => blend(&level[node], &level[count + node], &tints[family].0),
                    None => {
                        let [low, high] = [node, count + node].map(|place| &corners[place]);
                        blend(low, high, &tints[family].0)
                    }
                };
                workspace.push(mixed);
            }
        }
        self.slopes(corners, tints, workspace)
    }

    /// Runs the folding backwards, from the mixture at the end of the levels to the overprints.
    fn slopes(
        &self,
        corners: &[[f64; BANDS]],
        tints: &[BandAmounts],
        levels: &[[f64; BANDS]],
    ) -> Mixture {
        let places = levels.last().unwrap_or(self.cells.first());
        let reflectance = self.scale.reflectances(places);
        let mut weights = Vec::with_capacity(corners.len());
        weights.push(std::array::from_fn(|band| {
            self.scale.slope(band, places[band], reflectance[band])
        }));
        let mut slopes = vec![[0.0; BANDS]; self.families.len()];
        let mut end = levels.len() - 1;
        for (family, slope) in slopes.iter_mut().enumerate() {
            let count = weights.len();
            let below = match end.checked_sub(2 * count) {
                Some(start) => &levels[start..end],
                None => corners,
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
}

/// The 2^F overprints on the scale of mixtures; bit f of the index says whether family f
/// is present.
pub(crate) fn overprint_places(
    set: &InkSet,
    substrate: &Substrate,
) -> Result<Vec<[f64; BANDS]>, PrintModelError> {
    let families = set.families(substrate);
    let solids = solids_on(set, substrate)?;
    let full: Vec<Spectrum> = families
        .iter()
        .filter_map(|family| family.channels.last().map(|&channel| solids[channel]))
        .collect();
    crate::primaries::solid_nodes(substrate, &families, &full)
}
