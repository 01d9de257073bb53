/// Colour differences between prediction and measurement, in ΔE00 under D50.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Accuracy {
    /// How many patches.
    pub patches: usize,
    /// Their mean.
    pub mean: f64,
    /// What 95 of 100 keep.
    pub percentile_95: f64,
    /// The largest.
    pub maximum: f64,
}

impl Accuracy {
    /// Sums up some differences; `None` for none.
    pub(crate) fn of(differences: impl Iterator<Item = f64>) -> Option<Self> {
        let mut sorted: Vec<f64> = differences.collect();
        sorted.sort_by(f64::total_cmp);
        let maximum = *sorted.last()?;
        #[expect(clippy::cast_precision_loss, reason = "charts have far fewer than 2^52 patches")]
        let count = sorted.len() as f64;
        // The smallest value that at least 95 of 100 don't exceed.
        let rank = sorted.len() * 95;
        let percentile_95 = sorted[rank.div_ceil(100).max(1) - 1];
        Some(Self {
            patches: sorted.len(),
            mean: sorted.iter().sum::<f64>() / count,
            percentile_95,
            maximum,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_a_hundred_differences_the_ninety_fifth_is_the_percentile() {
        let accuracy = Accuracy::of((1..=100).map(f64::from)).unwrap();
        assert_eq!((accuracy.patches, accuracy.maximum), (100, 100.0));
        assert_eq!((accuracy.mean, accuracy.percentile_95), (50.5, 95.0));
        assert_eq!(Accuracy::of(std::iter::empty()), None);
    }
}
