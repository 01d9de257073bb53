//! Light of encoded samples by the sRGB curve (IEC 61966-2-1), in integers.
//!
//! The curve stands for the tone curve of any source: a preview is looked at, never dosed.

use std::sync::LazyLock;

use crate::sample::sample_of;

/// Parts of full light. Fine enough that one step of a 16-bit sample in the shadows, where the
/// curve is flattest, is 79 parts.
pub(crate) const ONE: u32 = 1 << LIGHT_BITS;

const LIGHT_BITS: u32 = 26;
/// The table back from light has 2^16 intervals and interpolates between them.
const INTERVAL_BITS: u32 = LIGHT_BITS - 16;
const INTERVALS: u32 = 1 << 16;
/// Binary places behind the point in the table back from light.
const PLACES: u32 = 16;

static BYTES: LazyLock<Box<[u32; 1 << 8]>> = LazyLock::new(decoding_table);
static WORDS: LazyLock<Box<[u32; 1 << 16]>> = LazyLock::new(decoding_table);
static COARSE: LazyLock<Box<[u16; INTERVALS as usize]>> = LazyLock::new(coarse_table);
static ENCODED: LazyLock<Vec<u32>> = LazyLock::new(|| (0..=INTERVALS).map(node).collect());

/// Light of each 8-bit sample.
pub(crate) fn of_bytes() -> &'static [u32; 1 << 8] {
    &BYTES
}

/// Light of each 16-bit sample.
pub(crate) fn of_words() -> &'static [u32; 1 << 16] {
    &WORDS
}

/// The step of 8 bits whose light comes nearest to the given light, on the scale of 16 bits; a fortieth of
/// a step off at most.
pub(crate) fn encoded_coarsely(light: u64) -> u16 {
    let table: &[u16; INTERVALS as usize] = &COARSE;
    let interval = light.min(u64::from(ONE - 1)) >> INTERVAL_BITS;
    table[usize::try_from(interval).unwrap_or(0)]
}

/// The 16-bit sample whose light comes nearest to the given light, which is at most [`ONE`].
pub(crate) fn encoded(light: u64) -> u16 {
    let light = light.min(u64::from(ONE));
    let table = ENCODED.as_slice();
    let interval = usize::try_from(light >> INTERVAL_BITS).unwrap_or(0);
    let into = light & ((1 << INTERVAL_BITS) - 1);
    let here = u64::from(table[interval]);
    let next = u64::from(table[(interval + 1).min(table.len() - 1)]);
    let sum = here * ((1 << INTERVAL_BITS) - into) + next * into;
    let half = 1 << (PLACES + INTERVAL_BITS - 1);
    u16::try_from((sum + half) >> (PLACES + INTERVAL_BITS)).unwrap_or(u16::MAX)
}

fn decoding_table<const SAMPLES: usize>() -> Box<[u32; SAMPLES]> {
    let mut table = Box::new([0; SAMPLES]);
    #[expect(clippy::cast_precision_loss, reason = "there are 2^8 or 2^16 samples")]
    let fraction = |sample: usize| sample as f64 / (SAMPLES - 1) as f64;
    for (sample, light) in table.iter_mut().enumerate() {
        *light = fixed(decode(fraction(sample)) * f64::from(ONE));
    }
    table
}

/// By interval of light: the step of 8 bits in its middle. Built from the lights between steps, for a
/// counting process has no time for as many powers as intervals.
fn coarse_table() -> Box<[u16; INTERVALS as usize]> {
    let mut table = Box::new([u16::MAX; INTERVALS as usize]);
    let mut from = 0;
    for step in 0..u8::MAX {
        let above = decode((f64::from(step) + 0.5) / f64::from(u8::MAX));
        // The first interval whose middle lies above.
        let to = fixed(above * f64::from(INTERVALS)) as usize;
        table[from..to].fill(sample_of(step));
        from = to;
    }
    table
}

/// The encoded sample at the start of an interval, with [`PLACES`] binary places.
fn node(interval: u32) -> u32 {
    let full = u32::from(u16::MAX) << PLACES;
    fixed(encode(f64::from(interval) / f64::from(INTERVALS)) * f64::from(full))
}

/// IEC 61966-2-1, clause 5.2.
fn decode(encoded: f64) -> f64 {
    if encoded <= 0.04045 { encoded / 12.92 } else { ((encoded + 0.055) / 1.055).powf(2.4) }
}

/// IEC 61966-2-1, clause 5.3.
fn encode(light: f64) -> f64 {
    if light <= 0.003_130_8 { light * 12.92 } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the tables hold 0 to 2^32 - 1"
)]
fn fixed(value: f64) -> u32 {
    value.round() as u32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sample_survives_the_way_to_light_and_back() {
        for (sample, light) in (0..=u16::MAX).zip(of_words().iter()) {
            assert_eq!(encoded(u64::from(*light)), sample);
        }
        for (sample, light) in (0..=u8::MAX).zip(of_bytes().iter()) {
            let steps = [encoded, encoded_coarsely].map(|encoded| encoded(u64::from(*light)));
            assert_eq!(steps, [u16::from(sample) * 257; 2]);
        }
    }

    #[test]
    fn half_the_light_is_the_published_mid_tone() {
        // 1.055 × 0.5^(1/2.4) − 0.055 = 0.735357 (IEC 61966-2-1).
        assert_eq!(encoded(u64::from(ONE / 2)), 48192);
        assert_eq!(encoded(u64::MAX), u16::MAX);
    }
}
