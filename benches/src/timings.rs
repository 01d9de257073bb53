use std::time::{Duration, Instant};

/// How long something took, over several rounds.
#[derive(Clone, Debug, Default)]
pub(crate) struct Timings(Vec<Duration>);

impl Timings {
    /// Does something once and keeps the wall time, unless it failed.
    pub(crate) fn time<T, E>(&mut self, work: impl FnOnce() -> Result<T, E>) -> Result<T, E> {
        let start = Instant::now();
        let result = work()?;
        self.0.push(start.elapsed());
        Ok(result)
    }

    /// The middle one in seconds, or the mean of the middle two; NaN before the first round.
    pub(crate) fn median(&self) -> f64 {
        let mut seconds: Vec<f64> = self.0.iter().map(Duration::as_secs_f64).collect();
        seconds.sort_by(f64::total_cmp);
        match seconds.len() {
            0 => f64::NAN,
            odd if odd % 2 == 1 => seconds[odd / 2],
            even => f64::midpoint(seconds[even / 2 - 1], seconds[even / 2]),
        }
    }

    /// The shortest and the longest in seconds.
    pub(crate) fn extremes(&self) -> [f64; 2] {
        let seconds = || self.0.iter().map(Duration::as_secs_f64);
        [seconds().fold(f64::INFINITY, f64::min), seconds().fold(0.0, f64::max)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of_seconds(seconds: &[u64]) -> Timings {
        Timings(seconds.iter().copied().map(Duration::from_secs).collect())
    }

    #[test]
    fn the_median_is_the_middle_one_or_between_the_middle_two() {
        assert_eq!(of_seconds(&[9, 1, 2]).median().to_bits(), 2.0_f64.to_bits());
        assert_eq!(of_seconds(&[9, 1, 2, 4]).median().to_bits(), 3.0_f64.to_bits());
    }

    #[test]
    fn failed_work_is_not_timed() {
        let mut timings = Timings::default();
        assert!(timings.time(|| Err::<(), &str>("no")).is_err());
        assert!(timings.median().is_nan());
    }
}
