use std::collections::BTreeMap;

use colour::{BANDS, Spectrum};
use units::{EffectiveCoverage, Load, Reflectance, Share, TotalAreaCoverage};

use crate::{Backing, Coverages, MeasurementCondition, Provenance};

/// A paper, canvas or film, and how ink behaves on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Substrate {
    /// Name, unique in its set.
    pub name: String,
    /// Reflectance of the unprinted sheet.
    pub white: Spectrum,
    /// Measurement condition of the white.
    pub condition: MeasurementCondition,
    /// What lay behind the sheet.
    pub backing: Backing,
    /// Name of the ink of the black family that this substrate uses; other full-strength inks of
    /// that family stay idle. `None` when the set has no black family.
    pub active_black: Option<String>,
    /// Most ink that the sheet takes at one place.
    pub load_limit: Load,
    /// Highest sum of coverages at one place.
    pub total_area_coverage_limit: TotalAreaCoverage,
    /// Lowest reflectance that any mixture of inks reaches on this sheet, in any band.
    pub darkest_reflectance: Reflectance,
    /// Reflectance of the surface itself, which no ink hides; light inks scale above it.
    pub surface_reflectance: Reflectance,
    /// Share of a later ink's absorption that counts over an earlier one, 0 to 1.
    pub trapping: Share,
    /// How a tint lies between paper and solid.
    pub ramp_law: RampLaw,
    /// What mixes when inks mix.
    pub mixed_bands: MixedBands,
    /// Effective coverage by family, where it differs from coverage; by name of a light ink where it
    /// has a curve of its own in place of its family's.
    pub curves: BTreeMap<String, EffectiveCoverageCurve>,
    /// Measured patches of several families (or a substrate's own solids), where known.
    pub primaries: Vec<MeasuredPrimary>,
    /// Where the facts come from.
    pub provenance: Provenance,
}

/// How the reflectance of a tint follows from paper, solid and effective coverage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RampLaw {
    /// Yule–Nielsen: linear in R^(1/n). n = 1 is Murray–Davies.
    YuleNielsen {
        /// The Yule–Nielsen factor, 1 to 10.
        n: f64,
    },
    /// Linear in the Kubelka–Munk ratio K/S: for inks that sink in and spread evenly. Overprints
    /// still mix by Yule–Nielsen with the factor given here.
    KubelkaMunk {
        /// The Yule–Nielsen factor of mixtures of families, 1 to 10.
        n: f64,
    },
    /// As `KubelkaMunk` for one family; mixtures of families are linear in (K/S)^(1/n): for inks that
    /// sink into each other, as dyes on coated papers do.
    KubelkaMunkMixtures {
        /// 1 where the K/S of families just add; up to 10.
        n: f64,
    },
}

/// What mixes by the ramp law when inks mix.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum MixedBands {
    /// Each of the 36 bands of the spectra.
    #[default]
    Spectral,
    /// The three tristimulus values under D50, each as if it were the reflectance of a broad band:
    /// for charts without spectra. The spectra of such a set are smooth stand-ins that add up to
    /// the measured tristimulus values; under another light they say nothing.
    Tristimulus,
}

/// What the eye sees of a family's coverage: after dot gain.
#[derive(Clone, Debug, PartialEq)]
pub struct EffectiveCoverageCurve {
    /// Rising coverages from 0 to 1.
    pub coverages: Vec<f64>,
    /// The effective coverage at each of them.
    pub effective: EffectiveValues,
}

/// Effective coverages at the nodes of a curve.
#[derive(Clone, Debug, PartialEq)]
pub enum EffectiveValues {
    /// One value for all bands; node by node.
    AllBands(Vec<EffectiveCoverage>),
    /// A value for each band; node by node.
    PerBand(Vec<[f64; BANDS]>),
    /// A value for each of X, Y and Z; node by node. Goes with [`MixedBands::Tristimulus`].
    PerTristimulus(Vec<[f64; 3]>),
}

/// A measured patch of known family amounts.
///
/// Amounts of 0 and 1 are solids. An amount between them is the coverage of the family's
/// full-strength ink; the model then mixes from patch to patch in cells (a cellular model).
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuredPrimary {
    /// Amount of each family in the patch; families not named are absent.
    pub amounts: Coverages,
    /// Reflectance of the patch.
    pub spectrum: Spectrum,
}
