/// Random numbers of the virtual printer, by xorshift64* (Vigna, ACM Transactions on Mathematical
/// Software 42, 2016): another generator than the one that draws bootstraps.
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    /// Begins with a seed; equal seeds throw alike.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        // A state of nought would stay there.
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    /// Evenly spread over 0 to 1.
    pub fn even(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        #[expect(clippy::cast_precision_loss, reason = "53 bits fit a double exactly")]
        let bits = (self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11) as f64;
        bits / 9_007_199_254_740_992.0
    }

    /// Evenly spread between two ends.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.even()
    }

    /// Evenly spread on a logarithmic scale.
    pub fn between_logarithms(&mut self, low: f64, high: f64) -> f64 {
        self.between(low.ln(), high.ln()).exp()
    }

    /// Normal with mean 0 and variance 1, by the polar method of Marsaglia and Bray, SIAM Review 6
    /// (1964).
    pub fn normal(&mut self) -> f64 {
        loop {
            let (x, y) = (self.between(-1.0, 1.0), self.between(-1.0, 1.0));
            let square = x * x + y * y;
            if square > 0.0 && square < 1.0 {
                return x * (-2.0 * square.ln() / square).sqrt();
            }
        }
    }

    /// One of so many.
    pub fn one_of(&mut self, many: usize) -> usize {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a place among few"
        )]
        let place = (self.even() * many as f64) as usize;
        place.min(many.saturating_sub(1))
    }
}
