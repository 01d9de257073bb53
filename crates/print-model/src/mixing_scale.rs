use colour::BANDS;
use inkset::RampLaw;

use crate::kubelka_munk::{ratio, reflectance};
use crate::yule_nielsen::{compress, expand};

/// The scale on which mixtures of families lie straight between their overprints, band by band.
#[expect(
    clippy::large_enum_variant,
    reason = "a model holds one for each family at most, and a box would end its being copied"
)]
#[derive(Clone, Copy, Debug)]
pub(crate) enum MixingScale {
    /// R^(1/n).
    Power(f64),
    /// (K/S)^(1/n), of reflectances relative to `whites`.
    Ratio { n: f64, whites: [f64; BANDS] },
}

/// How far a white lies above a paper that reflects nearly all light or, by brightener, more: K/S has
/// no slope at its white, and inverses need one. Our choice.
const ABOVE_PAPER: f64 = 1.02;
/// Relative reflectances whose K/S is told apart: from below density 4, as in
/// [`kubelka_munk`](crate::kubelka_munk), to just below white.
const DARKEST: f64 = 1e-4;
const LIGHTEST: f64 = 1.0 - 1e-6;
/// The factor of the amounts of families. Our choice: amounts on the scale of K/S would crowd nearly
/// all tones that are seen into the lowest tenth.
pub(crate) const AMOUNT_FACTOR: f64 = 2.0;

impl MixingScale {
    /// `paper` is that of the substrate, in the values that mix.
    pub(crate) fn new(law: RampLaw, paper: &[f64; BANDS]) -> Self {
        match law {
            RampLaw::YuleNielsen { n } | RampLaw::KubelkaMunk { n } => Self::Power(n),
            RampLaw::KubelkaMunkMixtures { n } => {
                Self::Ratio { n, whites: paper.map(|r| (ABOVE_PAPER * r).max(1.0)) }
            }
        }
    }

    /// Whether amounts of families are on another scale than mixtures.
    pub(crate) const fn bends_amounts(&self) -> bool {
        matches!(self, Self::Ratio { .. })
    }

    /// The place of a reflectance.
    pub(crate) fn place(&self, band: usize, r: f64) -> f64 {
        match self {
            Self::Power(n) => compress(r, *n),
            Self::Ratio { n, whites } => {
                ratio((r / whites[band]).clamp(DARKEST, LIGHTEST)).powf(1.0 / n)
            }
        }
    }

    /// The places of some reflectances.
    pub(crate) fn places(&self, values: &[f64; BANDS]) -> [f64; BANDS] {
        std::array::from_fn(|band| self.place(band, values[band]))
    }

    /// The reflectance of a place: the inverse of [`Self::place`].
    pub(crate) fn reflectance(&self, band: usize, place: f64) -> f64 {
        match self {
            Self::Power(n) => expand(place, *n),
            Self::Ratio { n, whites } => whites[band] * reflectance(place.max(0.0).powf(*n)),
        }
    }

    /// The reflectances of some places.
    pub(crate) fn reflectances(&self, places: &[f64; BANDS]) -> [f64; BANDS] {
        match self {
            Self::Power(n) => places.map(|place| expand(place, *n)),
            Self::Ratio { .. } => std::array::from_fn(|band| self.reflectance(band, places[band])),
        }
    }

    /// Slope of the reflectance `r` over its place.
    pub(crate) fn slope(&self, band: usize, place: f64, r: f64) -> f64 {
        match self {
            Self::Power(n) => n * r / place.max(f64::MIN_POSITIVE),
            Self::Ratio { n, whites } => {
                // K/S of x is (1 − x)² / 2x, with the slope (x² − 1) / 2x².
                let x = (r / whites[band]).clamp(DARKEST, LIGHTEST);
                let over_ratio = 2.0 * x * x / (x * x - 1.0);
                whites[band] * over_ratio * n * ratio(x) / place.max(f64::MIN_POSITIVE)
            }
        }
    }
}

/// Leads a family's amounts to the scale of mixtures: both run from 0, paper, to 1, its solid.
#[derive(Clone, Debug)]
pub(crate) struct Bend {
    scale: MixingScale,
    /// Paper, and how far the solid lies below it, on the scale of amounts.
    paper: [f64; BANDS],
    span: [f64; BANDS],
    /// The same on the scale of mixtures.
    start: [f64; BANDS],
    width: [f64; BANDS],
}

/// Solids that lie no further from paper on either scale carry no place of their own.
const SMALLEST_WIDTH: f64 = 1e-6;

impl Bend {
    pub(crate) fn new(scale: MixingScale, paper: &[f64; BANDS], solid: &[f64; BANDS]) -> Self {
        let [paper, solid] =
            [paper, solid].map(|values| values.map(|r| compress(r, AMOUNT_FACTOR)));
        let at = |amounts: &[f64; BANDS]| {
            std::array::from_fn(|band| scale.place(band, expand(amounts[band], AMOUNT_FACTOR)))
        };
        let (start, end): ([f64; BANDS], [f64; BANDS]) = (at(&paper), at(&solid));
        Self {
            scale,
            span: std::array::from_fn(|band| paper[band] - solid[band]),
            width: std::array::from_fn(|band| end[band] - start[band]),
            paper,
            start,
        }
    }

    /// The part of the way from paper to solid on the scale of mixtures, and its slope over the
    /// amount.
    pub(crate) fn at(&self, band: usize, amount: f64) -> (f64, f64) {
        let (span, width) = (self.span[band], self.width[band]);
        if span.abs() < SMALLEST_WIDTH || width.abs() < SMALLEST_WIDTH {
            return (amount, 1.0);
        }
        let compressed = (self.paper[band] - amount * span).max(0.0);
        let r = expand(compressed, AMOUNT_FACTOR);
        let place = self.scale.place(band, r);
        let slope = -2.0 * compressed * span / self.scale.slope(band, place, r) / width;
        ((place - self.start[band]) / width, slope)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};
    use proptest::prelude::*;

    fn scale(n: f64, paper: f64) -> MixingScale {
        MixingScale::new(RampLaw::KubelkaMunkMixtures { n }, &[paper; BANDS])
    }

    #[test]
    fn the_darker_of_two_reflectances_has_the_higher_ratio() {
        assert_abs_diff_eq!(scale(1.0, 0.9).place(0, 0.5), 0.25, epsilon = 1e-12);
        assert!(scale(2.0, 0.9).place(0, 0.1) > scale(2.0, 0.9).place(0, 0.5));
    }

    proptest! {
        #[test]
        fn a_reflectance_comes_back_with_its_slope(r in 0.01..0.85_f64, n in 1.0..10.0_f64) {
            for scale in [scale(n, 0.88), scale(n, 1.1), MixingScale::Power(n)] {
                let place = scale.place(3, r);
                assert_relative_eq!(scale.reflectance(3, place), r, max_relative = 1e-7);
                let step = 1e-5 * place;
                let [low, high] = [place - step, place + step].map(|p| scale.reflectance(3, p));
                let slope = (high - low) / (2.0 * step);
                assert_relative_eq!(scale.slope(3, place, r), slope, max_relative = 1e-3);
            }
        }

        #[test]
        fn bent_amounts_keep_their_ends_and_have_their_slope(
            paper in 0.5..1.1_f64, share in 0.01..0.9_f64, amount in 0.05..0.95_f64, n in 1.0..4.0_f64,
        ) {
            let bend = Bend::new(scale(n, paper), &[paper; BANDS], &[share * paper; BANDS]);
            prop_assert_eq!(bend.at(0, 0.0).0, 0.0);
            assert_abs_diff_eq!(bend.at(0, 1.0).0, 1.0, epsilon = 1e-9);
            let [low, high] = [amount - 1e-6, amount + 1e-6].map(|a| bend.at(0, a).0);
            assert_relative_eq!(bend.at(0, amount).1, (high - low) / 2e-6, max_relative = 1e-3);
        }
    }
}
