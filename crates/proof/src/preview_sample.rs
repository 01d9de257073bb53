use census::Preview;

/// Colours of a preview, each with its number of pixels: all of them, or enough for a percentile.
///
/// A census cell stands for its pixels by their mean, which narrows the spread of colour differences
/// and so moves a percentile of them; pixels themselves don't.
#[derive(Clone, Debug, PartialEq)]
pub struct PreviewSample {
    encoded: Vec<f64>,
    pixels: Vec<u64>,
}

/// Colours that are looked at. Our choice: twice as many leave the 95th percentile of ΔE00 over a
/// photograph within 0.005 of that over all its pixels, and cost as much as its census does.
const MOST_COLOURS: usize = 1 << 13;

impl PreviewSample {
    /// Every colour of a preview where they are few enough; else pixels at even distances in an order
    /// that keeps like colours together, so that each kind of colour has its share.
    #[must_use]
    pub fn of(preview: &Preview) -> Self {
        let channels = preview.model.channels();
        let mut codes: Vec<u64> = preview.samples.chunks_exact(channels).map(interleaved).collect();
        codes.sort_unstable();
        let mut counted = counted(&codes);
        if counted.len() > MOST_COLOURS {
            let middle = |part: usize| codes[(2 * part + 1) * codes.len() / (2 * MOST_COLOURS)];
            let evenly: Vec<u64> = (0..MOST_COLOURS).map(middle).collect();
            counted = self::counted(&evenly);
        }
        let encoded = counted.iter().flat_map(|(code, _)| samples(*code, channels)).collect();
        Self { encoded, pixels: counted.iter().map(|(_, pixels)| *pixels).collect() }
    }

    /// The encoded colours, 0 to 1, sample after sample.
    #[must_use]
    pub fn encoded(&self) -> &[f64] {
        &self.encoded
    }

    /// The number of pixels of each colour, in the same order. Only their ratios mean anything.
    #[must_use]
    pub fn pixels(&self) -> &[u64] {
        &self.pixels
    }
}

/// Runs of equal codes with their lengths.
fn counted(rising: &[u64]) -> Vec<(u64, u64)> {
    let runs = rising.chunk_by(|one, other| one == other);
    runs.map(|run| (run[0], run.len() as u64)).collect()
}

/// The bits of up to four samples in turns, highest first: colours that are alike in all channels get
/// codes that are near each other (Morton, "A computer oriented geodetic data base", 1966).
fn interleaved(samples: &[u16]) -> u64 {
    (0..u16::BITS).rev().fold(0, |code, bit| {
        samples.iter().fold(code, |code, sample| code << 1 | u64::from(sample >> bit & 1))
    })
}

/// The samples of a code, 0 to 1.
fn samples(code: u64, channels: usize) -> Vec<f64> {
    let bit = |place: usize, channel: usize| code >> (place * channels + channel) & 1;
    let sample = |channel: usize| {
        let word: u64 = (0..16).map(|place| bit(place, channels - 1 - channel) << place).sum();
        #[expect(clippy::cast_precision_loss, reason = "a sample has 16 bits")]
        let word = word as f64;
        word / f64::from(u16::MAX)
    };
    (0..channels).map(sample).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use colour::ColourModel;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn samples_come_back_from_their_code(wanted in proptest::collection::vec(0..=u16::MAX, 1..5)) {
            let back = samples(interleaved(&wanted), wanted.len());
            let words: Vec<f64> = wanted.iter().map(|word| f64::from(*word) / 65_535.0).collect();
            prop_assert_eq!(back, words);
        }
    }

    fn gray(samples: Vec<u16>) -> Preview {
        let width = u32::try_from(samples.len()).unwrap();
        Preview { width, height: 1, model: ColourModel::Gray, samples }
    }

    #[test]
    fn few_colours_are_all_counted() {
        let sample = PreviewSample::of(&gray(vec![9, 0, 9, 65_535, 9]));
        assert_eq!(sample.pixels(), [1, 3, 1]);
        assert_eq!(sample.encoded(), [0.0, 9.0 / 65_535.0, 1.0]);
    }

    #[test]
    fn many_colours_are_taken_at_even_distances() {
        let sample = PreviewSample::of(&gray((0..=u16::MAX).collect()));
        assert_eq!(sample.encoded().len(), MOST_COLOURS);
        assert!(sample.pixels().iter().all(|pixels| *pixels == 1));
        let below_half = sample.encoded().iter().filter(|value| **value < 0.5).count();
        assert_eq!(below_half, MOST_COLOURS / 2);
    }
}
