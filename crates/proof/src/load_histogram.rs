use units::{Load, Share};

use crate::difference_statistics::real;

/// How much of the area carries how much ink: equal steps from nothing to the substrate's limit.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadHistogram {
    /// The limit, where the last step ends.
    pub limit: Load,
    /// Share of the area in each step; a load on the border of two is in the lower one, and bare
    /// paper in the first.
    pub shares: Vec<Share>,
}

/// Steps of a histogram. Our choice: about as many as a chart on a phone can show apart.
const STEPS: usize = 20;

impl LoadHistogram {
    /// Counts the loads of colours, each with its pixels, and pixels of bare paper.
    #[must_use]
    pub fn of(colours: impl Iterator<Item = (Load, u64)>, unprinted: u64, limit: Load) -> Self {
        let mut pixels = [0_u64; STEPS];
        pixels[0] = unprinted;
        for (load, count) in colours {
            pixels[step(load, limit)] += count;
        }
        let all = real(pixels.iter().sum::<u64>().max(1));
        let share = |count: &u64| Share::from_fraction(real(*count) / all).unwrap_or(Share::MIN);
        Self { limit, shares: pixels.iter().map(share).collect() }
    }
}

fn step(load: Load, limit: Load) -> usize {
    let [load, limit] = [load, limit].map(Load::to_millilitres_per_square_metre);
    if limit <= 0.0 {
        return 0;
    }
    #[expect(clippy::cast_precision_loss, reason = "there are 20 steps")]
    let scaled = load / limit * STEPS as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "loads are not negative and limited"
    )]
    let step = (scaled.ceil() as usize).saturating_sub(1);
    step.min(STEPS - 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn load(value: f64) -> Load {
        Load::from_millilitres_per_square_metre(value).unwrap()
    }

    #[test]
    fn loads_fall_into_steps_that_end_at_the_limit() {
        for (value, expected) in [(0.0, 0), (1.0, 0), (1.01, 1), (10.0, 9), (19.5, 19), (20.0, 19)]
        {
            assert_eq!(step(load(value), load(20.0)), expected, "{value}");
        }
    }
}
