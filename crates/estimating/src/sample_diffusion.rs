use separation::MAX_CHANNELS;

use crate::colour_memo::Fired;

/// Rounds coverages to integer samples so that their sums stay true: what rounding takes from a
/// pixel is added to the next one, along rows and from a row to the next.
///
/// Rounding each pixel by itself would add or take up to half a level everywhere in an even
/// tint, which is 0.7 % of a tint of 28 % in 8 bits. Here the sum over any number of pixels is
/// within one level of the truth. No coverage is no ink, and a full one is full: such pixels take
/// no part.
#[derive(Clone, Debug)]
pub(crate) struct SampleDiffusion {
    full: f64,
    left: [f64; MAX_CHANNELS],
}

impl SampleDiffusion {
    /// For samples from 0 to a full scale.
    pub(crate) fn new(full: u16) -> Self {
        Self { full: f64::from(full), left: [0.0; MAX_CHANNELS] }
    }

    /// Appends the samples of a pixel's first channels.
    pub(crate) fn append(&mut self, fired: &Fired, channels: usize, samples: &mut Vec<u16>) {
        let places = fired[..channels].iter().zip(&mut self.left);
        samples.extend(places.map(|(coverage, left)| rounded(*coverage, self.full, left)));
    }
}

fn rounded(coverage: f32, full: f64, left: &mut f64) -> u16 {
    let wanted = f64::from(coverage) * full;
    if coverage <= 0.0 || coverage >= 1.0 {
        return whole(wanted);
    }
    let sample = (wanted + *left).round().clamp(0.0, full);
    *left += wanted - sample;
    whole(sample)
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "within 0 and a full scale of at most 16 bits"
)]
const fn whole(sample: f64) -> u16 {
    sample as u16
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn samples(full: u16, coverages: &[f32]) -> Vec<u16> {
        let mut diffusion = SampleDiffusion::new(full);
        let mut samples = Vec::new();
        for coverage in coverages {
            diffusion.append(&[*coverage; MAX_CHANNELS], 1, &mut samples);
        }
        samples
    }

    #[test]
    fn bare_and_full_pixels_stay_what_they_are() {
        assert_eq!(samples(255, &[0.301, 0.0, 0.301, 1.0]), [77, 0, 77, 255]);
    }

    #[test]
    fn an_even_tint_keeps_its_mean() {
        let all = samples(255, &[0.3012; 10_000]);
        let sum: f64 = all.into_iter().map(f64::from).sum();
        assert!((sum - 0.3012 * 255.0 * 10_000.0).abs() < 1.0, "{sum}");
    }

    proptest! {
        #[test]
        fn sums_are_within_a_level(coverages in prop::collection::vec(0.0..=1.0_f32, 0..300)) {
            let sum: f64 = samples(255, &coverages).into_iter().map(f64::from).sum();
            let truth: f64 = coverages.iter().map(|coverage| 255.0 * f64::from(*coverage)).sum();
            prop_assert!((sum - truth).abs() <= 1.0, "{sum} for {truth}");
        }
    }
}
