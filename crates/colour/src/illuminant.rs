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
        let mut sums = [0.0; 3];
        for (reflectance, weight) in surface.bands().iter().zip(self.weights()) {
            for (sum, w) in sums.iter_mut().zip(weight) {
                *sum += reflectance * w;
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
