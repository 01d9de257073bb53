use palette::convert::FromColorUnclamped;
use palette::white_point::D65;
use palette::{Oklab as PaletteOklab, Xyz as PaletteXyz};

use crate::{Illuminant, Lab, Xyz};

/// A colour in Oklab, in which lines of constant perceived hue are straight: CIELAB bends blues
/// towards purple.
///
/// White is `l` 1; `a` and `b` are about a hundredth of what CIELAB's are.
///
/// Source: Ottosson, "A perceptual color space for image processing" (2020), by `palette`, for
/// colours adapted from D50 to D65 by the Bradford transform (ICC.1:2022, annex E).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Oklab {
    /// Lightness, 0 to 1.
    pub l: f64,
    /// Green to red.
    pub a: f64,
    /// Blue to yellow.
    pub b: f64,
}

impl Lab {
    /// The colour in Oklab.
    #[must_use]
    pub fn to_oklab(self) -> Oklab {
        let white = Illuminant::D65.white();
        let Xyz { x, y, z } = self.to_xyz(Xyz::PCS_WHITE).adapted(Xyz::PCS_WHITE, white);
        let xyz = PaletteXyz::<D65, f64>::new(x / 100.0, y / 100.0, z / 100.0);
        let PaletteOklab { l, a, b } = PaletteOklab::from_color_unclamped(xyz);
        Oklab { l, a, b }
    }
}

impl Oklab {
    /// The colour in CIELAB, relative to the white of the profile connection space.
    #[must_use]
    pub fn to_lab(self) -> Lab {
        let xyz =
            PaletteXyz::<D65, f64>::from_color_unclamped(PaletteOklab::new(self.l, self.a, self.b));
        let d65 = Xyz { x: 100.0 * xyz.x, y: 100.0 * xyz.y, z: 100.0 * xyz.z };
        d65.adapted(Illuminant::D65.white(), Xyz::PCS_WHITE).to_lab(Xyz::PCS_WHITE)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::delta_e_ab;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    /// ΔE*ab; the published matrices of both directions carry ten digits at most.
    const MATRICES_ROUNDED: f64 = 5e-3;

    #[test]
    fn white_is_one_and_neutral() {
        let Oklab { l, a, b } = Lab::WHITE.to_oklab();
        // The published matrices carry seven digits, and two whites differ in the fifth.
        for (found, wanted) in [(l, 1.0), (a, 0.0), (b, 0.0)] {
            assert_abs_diff_eq!(found, wanted, epsilon = 2e-4);
        }
    }

    proptest! {
        #[test]
        fn colours_come_back(
            l in 10.0..100.0_f64, a in -0.6..0.6_f64, b in -0.6..0.6_f64,
        ) {
            // Beyond these chromas no surface has the colour, and X or Z is negative.
            let colour = Lab { l, a: l * a, b: l * b };
            prop_assert!(delta_e_ab(colour, colour.to_oklab().to_lab()) < MATRICES_ROUNDED);
        }
    }
}
