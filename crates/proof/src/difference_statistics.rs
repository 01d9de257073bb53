/// Mean, 95th percentile and maximum of colour differences over an area, in ΔE00.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct DifferenceStatistics {
    /// Mean over the area.
    pub mean: f64,
    /// The smallest difference that at least 95 % of the area keeps within.
    pub p95: f64,
    /// The largest difference at any place.
    pub max: f64,
}

/// The share of the area that the 95th percentile speaks of.
const PERCENTILE: u64 = 95;

impl DifferenceStatistics {
    /// These statistics with the percentile of others of the same area.
    #[must_use]
    pub const fn with_percentile_of(self, other: &Self) -> Self {
        Self { p95: other.p95, ..self }
    }

    /// These statistics with the maximum of others of the same area.
    #[must_use]
    pub const fn with_max_of(self, other: &Self) -> Self {
        Self { max: other.max, ..self }
    }

    /// The statistics of differences, each with the number of pixels that have it. Zero where
    /// there are no pixels.
    ///
    /// Pixels are counted as integers and the mean is summed in the order given, so that the
    /// result does not depend on threads.
    #[must_use]
    pub fn of(differences: &[(f64, u64)]) -> Self {
        let pixels: u64 = differences.iter().map(|(_, pixels)| pixels).sum();
        if pixels == 0 {
            return Self::default();
        }
        let sum: f64 =
            differences.iter().map(|(difference, count)| difference * real(*count)).sum();
        let mut rising = differences.to_vec();
        rising.sort_by(|one, other| one.0.total_cmp(&other.0));
        let max = rising.iter().rev().find(|(_, count)| *count > 0).map_or(0.0, |last| last.0);
        Self { mean: sum / real(pixels), p95: percentile(&rising, pixels), max }
    }
}

/// The first difference, in rising order, up to which the percentile of the pixels is reached.
fn percentile(rising: &[(f64, u64)], pixels: u64) -> f64 {
    // The same as ⌈0.95 × pixels⌉, without rounding.
    let wanted = u128::from(pixels) * u128::from(PERCENTILE);
    let mut passed: u128 = 0;
    for (difference, count) in rising {
        passed += u128::from(*count) * 100;
        if passed >= wanted {
            return *difference;
        }
    }
    0.0
}

#[expect(clippy::cast_precision_loss, reason = "pictures have far fewer than 2^52 pixels")]
pub(crate) const fn real(pixels: u64) -> f64 {
    pixels as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    #[test]
    fn the_percentile_is_the_smallest_that_holds_for_so_much_of_the_area() {
        let statistics = DifferenceStatistics::of(&[(9.0, 5), (1.0, 90), (2.0, 5)]);
        assert_eq!((statistics.p95, statistics.max), (2.0, 9.0));
        assert_abs_diff_eq!(statistics.mean, 1.45, epsilon = 1e-12);
        assert_eq!(DifferenceStatistics::of(&[(9.0, 6), (1.0, 94)]).p95, 9.0);
    }

    #[test]
    fn nothing_differs_where_there_is_nothing() {
        assert_eq!(DifferenceStatistics::of(&[]), DifferenceStatistics::default());
        assert_eq!(DifferenceStatistics::of(&[(3.0, 0)]).max, 0.0);
    }

    proptest! {
        #[test]
        fn counts_say_the_same_as_single_pixels(
            differences in proptest::collection::vec((0.0..20.0_f64, 1..6_u64), 1..40),
        ) {
            let single = |(value, count): &(f64, u64)| vec![(*value, 1); usize::try_from(*count).unwrap()];
            let pixels: Vec<_> = differences.iter().flat_map(single).collect();
            let (counted, listed) =
                (DifferenceStatistics::of(&differences), DifferenceStatistics::of(&pixels));
            prop_assert!((counted.mean - listed.mean).abs() < 1e-12);
            prop_assert_eq!((counted.p95, counted.max), (listed.p95, listed.max));
        }
    }
}
