//! Yule–Nielsen: reflectance of a tint when light spreads inside the paper.
//!
//! Source: Yule and Nielsen, "The penetration of light into paper and its effect on halftone
//! reproduction", TAGA Proceedings 3 (1951); spectral form: Viggiano, "Modeling the color of
//! multi-colored halftones", TAGA Proceedings (1990). With n = 1 it is the model of Murray,
//! "Monochrome reproduction in photoengraving", Journal of the Franklin Institute 221 (1936).

use units::{EffectiveCoverage, Reflectance};

/// Predicts the reflectance of a tint: R^(1/n) = (1 − a) paper^(1/n) + a solid^(1/n).
///
/// | Argument | Quantity                               | Range     |
/// |----------|----------------------------------------|-----------|
/// | `paper`  | reflectance of the unprinted substrate | 0 to 1.3  |
/// | `solid`  | reflectance of the solid ink           | 0 to 1.3  |
/// | `dot`    | effective coverage, not a file value   | 0 to 1    |
/// | `n`      | Yule–Nielsen factor                    | 1 to 10   |
///
/// The result lies between `paper` and `solid`.
#[must_use]
pub fn tint(paper: Reflectance, solid: Reflectance, dot: EffectiveCoverage, n: f64) -> Reflectance {
    let (from, to) = (compress(paper.to_unit(), n), compress(solid.to_unit(), n));
    let mixed = expand(from + dot.to_fraction() * (to - from), n);
    Reflectance::from_unit(mixed.clamp(0.0, Reflectance::MAX.to_unit())).unwrap_or(paper)
}

/// The effective coverage that makes `tint` out of `paper` and `solid`: the inverse of [`tint`].
///
/// `None` when the solid can't be told from the paper or the tint lies outside them.
#[must_use]
pub fn dot(
    paper: Reflectance,
    solid: Reflectance,
    tint: Reflectance,
    n: f64,
) -> Option<EffectiveCoverage> {
    let [from, to, at] = [paper, solid, tint].map(|r| compress(r.to_unit(), n));
    EffectiveCoverage::from_fraction((from - at) / (from - to)).ok()
}

/// R^(1/n).
pub(crate) fn compress(reflectance: f64, n: f64) -> f64 {
    let base = reflectance.max(0.0);
    if n == 2.0 { base.sqrt() } else { base.powf(1.0 / n) }
}

/// The inverse of [`compress`].
pub(crate) fn expand(compressed: f64, n: f64) -> f64 {
    let base = compressed.max(0.0);
    if n == 2.0 { base * base } else { base.powf(n) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    /// The worked values print six decimals.
    const PRINTED_DECIMALS: f64 = 5e-7;

    fn of_density(density: f64) -> Reflectance {
        Reflectance::from_unit(10.0_f64.powf(-density)).unwrap()
    }

    #[test]
    fn worked_dot_areas_agree() {
        let paper = Reflectance::from_unit(1.0).unwrap();
        for (n, area) in [(1.0, 0.519_494), (1.7, 0.392_902), (2.0, 0.364_852)] {
            let found = dot(paper, of_density(1.40), of_density(0.30), n).unwrap();
            assert_abs_diff_eq!(found.to_fraction(), area, epsilon = PRINTED_DECIMALS);
        }
    }

    proptest! {
        #[test]
        fn a_tint_lies_between_paper_and_solid_and_gives_its_dot_back(
            paper in 0.5..1.2_f64, solid in 0.01..0.4_f64, area in 0.0..1.0_f64, n in 1.0..10.0_f64,
        ) {
            let [paper, solid] = [paper, solid].map(|r| Reflectance::from_unit(r).unwrap());
            let area = EffectiveCoverage::from_fraction(area).unwrap();
            let mixed = tint(paper, solid, area, n);
            prop_assert!(mixed >= Reflectance::from_unit(solid.to_unit() - 1e-9).unwrap());
            prop_assert!(mixed.to_unit() <= paper.to_unit() + 1e-9);
            let back = dot(paper, solid, mixed, n).unwrap();
            prop_assert!((back.to_fraction() - area.to_fraction()).abs() < 1e-6);
        }
    }
}
