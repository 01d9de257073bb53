//! Kubelka–Munk: the ratio of absorption to scattering of an opaque layer.
//!
//! Source: Kubelka and Munk, "Ein Beitrag zur Optik der Farbanstriche", Zeitschrift für
//! technische Physik 12 (1931); the form for opaque layers in Kubelka, Journal of the Optical
//! Society of America 38 (1948).

/// The ratio K/S of an opaque layer of reflectance `r`, (1 − r)² / 2r.
///
/// `r` lies in 0 (excluded) to 1; K/S falls from infinity to 0.
#[must_use]
pub fn ratio(r: f64) -> f64 {
    (1.0 - r) * (1.0 - r) / (2.0 * r)
}

/// The reflectance of an opaque layer of ratio K/S ≥ 0: the inverse of [`ratio`], 1 to 0.
#[must_use]
pub fn reflectance(ratio: f64) -> f64 {
    // 1 + x − √(x² + 2x) without cancellation for large x.
    1.0 / (1.0 + ratio + (ratio * (ratio + 2.0)).sqrt())
}

/// Reflectances inside the paper, between the darkest that a mixture reaches (0) and the
/// paper (1).
///
/// Reflection at the surface and in the coating is hidden by no ink; Kubelka–Munk ratios add
/// only beneath it. The ceiling keeps the ratio of near-paper reflectances defined for papers
/// with brightener, whose reflectance exceeds 1.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Inner {
    paper: f64,
    darkest: f64,
}

/// Lowest inner reflectance: an ink at or below the darkest reflectance counts as density 4,
/// our choice, because instruments resolve no more.
const FLOOR: f64 = 1e-4;

impl Inner {
    /// One band of a substrate. A darkest reflectance at or above the paper leaves no range;
    /// half the paper is then used, so that inks keep some effect.
    pub(crate) fn new(paper: f64, darkest: f64) -> Self {
        Self { paper, darkest: darkest.min(0.5 * paper) }
    }

    /// K/S of a printed patch relative to the paper, 0 for the paper itself.
    pub(crate) fn ratio(self, reflectance: f64) -> f64 {
        let inner = (reflectance - self.darkest) / (self.paper - self.darkest);
        ratio(inner.clamp(FLOOR, 1.0))
    }

    /// The reflectance of a patch of this K/S relative to the paper.
    pub(crate) fn reflectance(self, ratio: f64) -> f64 {
        self.darkest + (self.paper - self.darkest) * reflectance(ratio)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};
    use proptest::prelude::*;

    #[test]
    fn worked_values_agree() {
        assert_abs_diff_eq!(reflectance(0.5), 0.381_966, epsilon = 5e-7);
        assert_abs_diff_eq!(ratio(0.5), 0.25, epsilon = 1e-12);
    }

    proptest! {
        #[test]
        fn ratio_and_reflectance_are_inverse(r in 0.001..1.0_f64) {
            assert_relative_eq!(reflectance(ratio(r)), r, max_relative = 1e-9);
        }

        #[test]
        fn a_patch_inside_the_range_keeps_its_reflectance(r in 0.02..0.9_f64) {
            let inner = Inner::new(0.9, 0.01);
            assert_relative_eq!(inner.reflectance(inner.ratio(r)), r, max_relative = 1e-9);
        }

        #[test]
        fn adding_absorption_never_brightens_nor_passes_the_darkest(
            one in 0.0..1.2_f64, other in 0.0..1.2_f64, paper in 0.5..1.2_f64, darkest in 0.0..0.4_f64,
        ) {
            let inner = Inner::new(paper, darkest);
            let both = inner.reflectance(inner.ratio(one) + inner.ratio(other));
            prop_assert!(both <= inner.reflectance(inner.ratio(one)) + 1e-12);
            prop_assert!(both >= inner.darkest - 1e-12);
        }
    }
}
