use std::f64::consts::TAU;

/// Random numbers from a seed: the same seed gives the same numbers everywhere.
///
/// Uniform numbers by SplitMix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number
/// generators", 2014, with its published constants); normal ones by Box and Muller, Annals of
/// Mathematical Statistics 29 (1958).
#[derive(Clone, Debug)]
pub(crate) struct Deviates {
    state: u64,
    kept: Option<f64>,
}

const STEP: u64 = 0x9E37_79B9_7F4A_7C15;
const FIRST_MIX: u64 = 0xBF58_476D_1CE4_E5B9;
const SECOND_MIX: u64 = 0x94D0_49BB_1331_11EB;
/// 2^-53: uniform numbers have the 53 bits of a double.
const OF_53_BITS: f64 = 1.0 / 9_007_199_254_740_992.0;

impl Deviates {
    pub(crate) const fn new(seed: u64) -> Self {
        Self { state: seed, kept: None }
    }

    fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(STEP);
        let mixed = (self.state ^ (self.state >> 30)).wrapping_mul(FIRST_MIX);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(SECOND_MIX);
        mixed ^ (mixed >> 31)
    }

    /// Uniform in 0 (excluded) to 1.
    fn uniform(&mut self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "53 bits fit a double exactly")]
        let number = ((self.bits() >> 11) + 1) as f64;
        number * OF_53_BITS
    }

    /// Normal with mean 0 and variance 1.
    pub(crate) fn normal(&mut self) -> f64 {
        if let Some(kept) = self.kept.take() {
            return kept;
        }
        let radius = (-2.0 * self.uniform().ln()).sqrt();
        let (sine, cosine) = (TAU * self.uniform()).sin_cos();
        self.kept = Some(radius * sine);
        radius * cosine
    }

    /// A mean square of so many normal numbers: chi-squared over its degrees of freedom, by the
    /// cube-root law of Wilson and Hilferty, Proceedings of the National Academy of Sciences 17
    /// (1931), good to a percent from three degrees on.
    pub(crate) fn mean_square(&mut self, freedom: f64) -> f64 {
        let spread = 2.0 / (9.0 * freedom);
        // Below, the law would be negative once in a million times.
        (1.0 - spread + self.normal() * spread.sqrt()).max(0.2).powi(3)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_seed_gives_the_same_numbers_and_another_seed_others() {
        let drawn = |seed| -> Vec<f64> {
            let mut deviates = Deviates::new(seed);
            (0..5).map(|_| deviates.normal()).collect()
        };
        assert_eq!(drawn(7), drawn(7));
        assert_ne!(drawn(7), drawn(8));
    }

    /// The first outputs for seed 1234567 as the public-domain reference code prints them
    /// (Vigna, splitmix64.c; values from memory of widely used test vectors).
    #[test]
    fn the_first_numbers_are_the_published_ones() {
        let mut deviates = Deviates::new(1_234_567);
        assert_eq!(deviates.bits(), 6_457_827_717_110_365_317);
        assert_eq!(deviates.bits(), 3_203_168_211_198_807_973);
    }

    #[test]
    fn normal_numbers_have_mean_nought_and_variance_one() {
        /// Four standard errors of a mean of so many.
        const COUNT: u32 = 40_000;
        const SAMPLING: f64 = 0.03;
        let mut deviates = Deviates::new(1);
        let drawn: Vec<f64> = (0..COUNT).map(|_| deviates.normal()).collect();
        let mean = drawn.iter().sum::<f64>() / f64::from(COUNT);
        let square = drawn.iter().map(|x| x * x).sum::<f64>() / f64::from(COUNT);
        assert!(mean.abs() < SAMPLING && (square - 1.0).abs() < SAMPLING, "{mean}, {square}");
    }
}
