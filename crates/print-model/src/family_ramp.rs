use colour::{BANDS, Spectrum};
use inkset::{EffectiveCoverageCurve, EffectiveValues, RampLaw, Substrate};
use units::Coverage;

use crate::kubelka_munk::Inner;
use crate::light_bands::{LightBands, curve_node};
use crate::mixing_scale::AMOUNT_FACTOR;
use crate::yule_nielsen::compress;

/// The effective amount of a family in each wavelength band: 0 is paper, 1 its full-strength
/// solid.
///
/// It differs from band to band where light inks, a Kubelka–Munk ramp or a measured curve make
/// the family's tints differ in hue from a plain mixture of paper and solid. A light ink over a
/// dark one may exceed 1 by a little.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BandAmounts(pub(crate) [f64; BANDS]);

impl BandAmounts {
    /// No ink.
    pub const NONE: Self = Self([0.0; BANDS]);

    /// The amount in each band.
    #[must_use]
    pub const fn bands(&self) -> &[f64; BANDS] {
        &self.0
    }

    /// Makes amounts from their bands, for tables that interpolate between them.
    #[must_use]
    pub const fn from_bands(bands: [f64; BANDS]) -> Self {
        Self(bands)
    }
}

/// How one family's tints look alone on one substrate.
pub(crate) struct FamilyRamp {
    law: RampLaw,
    /// Compressed reflectance of the paper.
    paper: [f64; BANDS],
    /// Paper minus full-strength solid, compressed.
    span: [f64; BANDS],
    inner: [Inner; BANDS],
    /// The family's inks, lightest first.
    inks: Vec<InkRamp>,
    /// Compressed reflectance of each overprint of the family's inks; bit i of the index says
    /// whether ink i is present.
    overprints: Vec<[f64; BANDS]>,
    /// Band in which the full-strength solid differs most from paper: stands in for bands in
    /// which it doesn't differ at all.
    deepest: usize,
}

/// One ink of a family.
struct InkRamp {
    /// K/S of the solid relative to the paper.
    ratio: [f64; BANDS],
    /// Compressed reflectance of the solid.
    compressed: [f64; BANDS],
    /// What the eye sees of the ink's coverage; `None` where it is the coverage.
    curve: Option<EffectiveCoverageCurve>,
}

/// A band whose compressed solid is nearer to paper than this carries no usable amount.
/// Our choice: 0.002 of R^(1/2) near white is ΔR ≈ 0.004, the repeatability of instruments.
const SMALLEST_SPAN: f64 = 0.002;

impl FamilyRamp {
    /// `inks` are the names and solids of the family's inks on the substrate, lightest first, full
    /// strength last.
    pub(crate) fn new(substrate: &Substrate, family: &str, inks: &[(&str, Spectrum)]) -> Self {
        let n = factor(substrate.ramp_law);
        let light = LightBands(substrate.mixed_bands);
        let white = light.of(&substrate.white);
        let darkest = substrate.darkest_reflectance.to_unit();
        let inner = white.map(|r| Inner::new(r, darkest));
        let paper = white.map(|r| compress(r, n));
        let full = inks.len().saturating_sub(1);
        let ramp = |(place, (name, solid)): (usize, &(&str, Spectrum))| {
            let own = substrate.curves.get(*name).filter(|_| place < full);
            let curve = own.or_else(|| substrate.curves.get(family)).cloned();
            InkRamp { curve, ..InkRamp::new(&light.of(solid), &inner, n) }
        };
        let inks: Vec<InkRamp> = inks.iter().enumerate().map(ramp).collect();
        let full = inks.last().map_or(paper, |ink| ink.compressed);
        let span: [f64; BANDS] = std::array::from_fn(|band| paper[band] - full[band]);
        let deepest = (0..BANDS).max_by(|&a, &b| span[a].total_cmp(&span[b])).unwrap_or(0);
        let overprints = overprints(paper, &inks, &inner, n);
        Self { law: substrate.ramp_law, paper, span, inner, inks, overprints, deepest }
    }

    /// The tint of some coverages of the family's inks, lightest first.
    pub(crate) fn tint(&self, coverages: &[Coverage]) -> BandAmounts {
        if self.inks.iter().all(|ink| ink.curve.is_none())
            && coverages.iter().all(|coverage| *coverage == Coverage::MIN)
        {
            return BandAmounts::NONE;
        }
        let compressed = match self.law {
            RampLaw::YuleNielsen { .. } => self.mixed_dots(coverages),
            RampLaw::KubelkaMunk { .. } | RampLaw::KubelkaMunkMixtures { .. } => {
                self.thicker_films(coverages, factor(self.law))
            }
        };
        let at = |band: usize| (self.paper[band] - compressed[band]) / self.span[band];
        let stand_in = at(self.deepest);
        BandAmounts(std::array::from_fn(|band| {
            if self.span[band].abs() < SMALLEST_SPAN { stand_in } else { at(band) }
        }))
    }

    /// The tint of the full-strength ink alone.
    pub(crate) fn full_strength_tint(&self, coverage: Coverage) -> BandAmounts {
        let mut coverages = vec![Coverage::MIN; self.inks.len()];
        if let Some(full) = coverages.last_mut() {
            *full = coverage;
        }
        self.tint(&coverages)
    }

    /// Compressed reflectance of Demichel's mixture of the inks' dots.
    fn mixed_dots(&self, coverages: &[Coverage]) -> [f64; BANDS] {
        let dots = |band: usize| {
            coverages.iter().zip(&self.inks).map(move |(c, ink)| ink.effective(*c, band))
        };
        let overprints = || self.overprints.iter().enumerate();
        if self.inks.iter().filter_map(|ink| ink.curve.as_ref()).any(differs_by_band) {
            return std::array::from_fn(|band| {
                overprints().map(|(place, of)| share(place, dots(band)) * of[band]).sum()
            });
        }
        let mut mixed = [0.0; BANDS];
        for (place, overprint) in overprints() {
            let share = share(place, dots(0));
            if share != 0.0 {
                mixed.iter_mut().zip(overprint).for_each(|(mixed, of)| *mixed += share * of);
            }
        }
        mixed
    }

    /// Compressed reflectance of inks that sink in: K/S proportional to coverage.
    fn thicker_films(&self, coverages: &[Coverage], n: f64) -> [f64; BANDS] {
        std::array::from_fn(|band| {
            let absorbed = coverages.iter().zip(&self.inks);
            let ratio = absorbed.map(|(c, ink)| ink.effective(*c, band) * ink.ratio[band]).sum();
            compress(self.inner[band].reflectance(ratio), n)
        })
    }
}

impl InkRamp {
    fn new(solid: &[f64; BANDS], inner: &[Inner; BANDS], n: f64) -> Self {
        Self {
            ratio: std::array::from_fn(|band| inner[band].ratio(solid[band])),
            compressed: solid.map(|r| compress(r, n)),
            curve: None,
        }
    }

    fn effective(&self, coverage: Coverage, band: usize) -> f64 {
        let coverage = coverage.to_fraction();
        match &self.curve {
            None => coverage,
            Some(curve) => interpolated(curve, coverage, band),
        }
    }
}

/// Compressed reflectance of each overprint of a family's inks: dots that overlap add their K/S.
fn overprints(
    paper: [f64; BANDS],
    inks: &[InkRamp],
    inner: &[Inner; BANDS],
    n: f64,
) -> Vec<[f64; BANDS]> {
    let mut ratios = vec![[0.0; BANDS]];
    let mut overprints = vec![paper];
    for ink in inks {
        for under in 0..overprints.len() {
            let ratio: [f64; BANDS] =
                std::array::from_fn(|band| ratios[under][band] + ink.ratio[band]);
            overprints.push(std::array::from_fn(|band| match ratios[under][band] {
                0.0 => ink.compressed[band],
                _ => compress(inner[band].reflectance(ratio[band]), n),
            }));
            ratios.push(ratio);
        }
    }
    overprints
}

/// The share of the area that an overprint of some dots takes; bit i of the overprint says whether ink i
/// is present.
fn share(overprint: usize, dots: impl Iterator<Item = f64>) -> f64 {
    let parts = dots.enumerate().map(|(ink, dot)| match overprint >> ink & 1 {
        0 => 1.0 - dot,
        _ => dot,
    });
    parts.product()
}

/// The Yule–Nielsen factor of the scale on which amounts lie.
pub(crate) const fn factor(law: RampLaw) -> f64 {
    match law {
        RampLaw::YuleNielsen { n } | RampLaw::KubelkaMunk { n } => n,
        RampLaw::KubelkaMunkMixtures { .. } => AMOUNT_FACTOR,
    }
}

const fn differs_by_band(curve: &EffectiveCoverageCurve) -> bool {
    !matches!(curve.effective, EffectiveValues::AllBands(_))
}

/// The curve at a coverage, straight between its nodes.
fn interpolated(curve: &EffectiveCoverageCurve, coverage: f64, band: usize) -> f64 {
    let node = |index: usize| curve_node(&curve.effective, index, band);
    let last = curve.coverages.len() - 1;
    let above = curve.coverages.partition_point(|&c| c < coverage).clamp(1, last);
    let (from, to) = (curve.coverages[above - 1], curve.coverages[above]);
    let part = (coverage - from) / (to - from);
    node(above - 1) + part * (node(above) - node(above - 1))
}
