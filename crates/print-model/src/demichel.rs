//! Demichel: shares of the overprints when dots fall independently.
//!
//! Source: Demichel, Le Procédé 26 (1924), as given by Yule, "Principles of color reproduction"
//! (1967).

use units::EffectiveCoverage;

/// The share of each of the 2^F overprints of F families; bit f of the index says whether
/// family f is present. The shares add up to one.
#[must_use]
pub fn weights(amounts: &[EffectiveCoverage]) -> Vec<f64> {
    let mut shares = vec![1.0];
    for amount in amounts {
        let present = amount.to_fraction();
        let with: Vec<f64> = shares.iter().map(|share| share * present).collect();
        for share in &mut shares {
            *share *= 1.0 - present;
        }
        shares.extend(with);
    }
    shares
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn effective(values: &[f64]) -> Vec<EffectiveCoverage> {
        values.iter().map(|&v| EffectiveCoverage::from_fraction(v).unwrap()).collect()
    }

    #[test]
    fn the_textbook_example_agrees() {
        let shares = weights(&effective(&[0.4, 0.0, 0.4]));
        let expected = [0.36, 0.24, 0.0, 0.0, 0.24, 0.16, 0.0, 0.0];
        for (share, expected) in shares.iter().zip(expected) {
            assert_abs_diff_eq!(*share, expected, epsilon = 1e-12);
        }
    }

    proptest! {
        #[test]
        fn shares_add_up_to_one(values in proptest::collection::vec(0.0..=1.0_f64, 0..=8)) {
            let shares = weights(&effective(&values));
            prop_assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-12);
            prop_assert!(shares.iter().all(|&share| share >= 0.0));
        }
    }
}
