use crate::weights;
use crate::{BANDS, Spectrum, Xyz};

/// A viewing light with published spectral power (CIE 15, ISO/CIE 11664-2).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Illuminant {
    /// Daylight of 5000 K: the light of the graphic trade (ISO 3664).
    D50,
    /// Daylight of 6500 K.
    D65,
    /// Incandescent lamp.
    A,
}

impl Illuminant {
    /// Weights of the 36 bands for X, Y and Z: ASTM E2022 with the ends folded in.
    #[must_use]
    pub const fn weights(self) -> &'static [[f64; 3]; BANDS] {
        match self {
            Self::D50 => &weights::D50,
            Self::D65 => &weights::D65,
            Self::A => &weights::A,
        }
    }

    /// The tristimulus values of a surface in this light, CIE 1931 2° observer.
    #[must_use]
    pub fn tristimulus(self, surface: &Spectrum) -> Xyz {
        self.weighted_sum(surface.bands())
    }

    /// The weighted sum of any 36 bands, such as the slopes of a spectrum, which may be negative.
    #[must_use]
    pub fn weighted_sum(self, bands: &[f64; BANDS]) -> Xyz {
        let mut sums = [0.0; 3];
        for (value, weights) in bands.iter().zip(self.weights()) {
            for (sum, weight) in sums.iter_mut().zip(weights) {
                *sum += value * weight;
            }
        }
        let [x, y, z] = sums;
        Xyz { x, y, z }
    }

    /// The white of this light: the perfect reflecting diffuser, summed in the same way.
    #[must_use]
    pub fn white(self) -> Xyz {
        self.tristimulus(&Spectrum::PERFECT_DIFFUSER)
    }
}
