use std::sync::{Mutex, PoisonError};

use colour::{BitDepth, ColourModel, Orientation, RasterFormat};

use crate::cells::MOST_CHANNELS;
use crate::linear_light;
use crate::preview::{MOST_PREVIEW_PIXELS, Preview};
use crate::sample::{Sample, byte_of, sample_of};

/// Rows and columns of a square that are looked at where the square has more than four: the first, and two
/// more at equal steps, so that the third is the last or the last but one. Our choice: nine pixels show
/// what a preview shows, and looking at all pixels of large pictures took as long as counting them.
const PLACES: u32 = 3;

/// The preview while it is painted, as stored and not yet turned.
///
/// Light is summed in integers, so picture rows may come in any order and from any thread. Each
/// row of the preview has a lock of its own, on which two counters meet only where their bands
/// touch; it is encoded as soon as its last picture row is in, so that sums are never kept for
/// the whole preview.
pub(crate) struct PreviewCanvas {
    format: RasterFormat,
    /// Side of the square of picture pixels that makes one pixel of the preview.
    factor: u32,
    /// Of how many rows and columns of a square one is looked at.
    step: u32,
    rows: Vec<Mutex<CanvasRow>>,
}

/// A row of the preview: first sums, then samples.
#[derive(Default)]
struct CanvasRow {
    /// Picture rows that are in the sums.
    added: u32,
    sums: Vec<u64>,
    samples: Vec<u16>,
}

impl PreviewCanvas {
    pub(crate) fn new(format: RasterFormat, most_pixels: u64) -> Self {
        let most_pixels = most_pixels.clamp(1, MOST_PREVIEW_PIXELS);
        let factor = smallest_factor(format.width, format.height, most_pixels);
        let rows = 0..format.height.div_ceil(factor);
        let step = ((factor - 1) / (PLACES - 1)).max(1);
        Self { format, factor, step, rows: rows.map(|_| Mutex::default()).collect() }
    }

    /// Adds the light of one picture row, opaque samples without alpha.
    pub(crate) fn add<T: Sample>(&self, picture_row: u32, samples: &[T]) {
        let place = picture_row / self.factor;
        let first = place * self.factor;
        if !(picture_row - first).is_multiple_of(self.step) {
            return;
        }
        let row = &self.rows[place as usize];
        let mut row = row.lock().unwrap_or_else(PoisonError::into_inner);
        row.sums.resize(self.samples_across(), 0);
        let sums = &mut row.sums;
        let squares = Squares { factor: self.factor as usize, step: self.step as usize };
        match self.format.model {
            ColourModel::Gray => squares.add_light::<T, 1>(sums, samples),
            ColourModel::Rgb => squares.add_light::<T, 3>(sums, samples),
            ColourModel::Lab => squares.add_samples::<T, 3>(sums, samples),
            ColourModel::Cmyk => squares.add_samples::<T, MOST_CHANNELS>(sums, samples),
        }
        row.added += 1;
        if row.added == self.factor.min(self.format.height - first).div_ceil(self.step) {
            self.encode(&mut row);
        }
    }

    /// The finished preview; rows without any picture row show the backdrop.
    pub(crate) fn into_preview<T: Sample>(
        self,
        backdrop: [T; MOST_CHANNELS],
        orientation: Orientation,
    ) -> Preview {
        let (across, down) = (self.across(), self.format.height.div_ceil(self.factor));
        let samples = self.encoded_rows(backdrop.map(in_16_bits)).concat();
        let (width, height) =
            if orientation.swaps_sides() { (down, across) } else { (across, down) };
        Preview {
            width,
            height,
            model: self.format.model,
            samples: turned(samples, self.channels(), across, down, orientation),
        }
    }

    fn encoded_rows(&self, backdrop: [u16; MOST_CHANNELS]) -> Vec<Vec<u16>> {
        let encoded = |row: &Mutex<CanvasRow>| {
            let mut row = row.lock().unwrap_or_else(PoisonError::into_inner);
            if row.added == 0 {
                return backdrop[..self.channels()].repeat(self.across() as usize);
            }
            if row.samples.is_empty() {
                self.encode(&mut row);
            }
            std::mem::take(&mut row.samples)
        };
        self.rows.iter().map(encoded).collect()
    }

    /// Turns the sums of a row into samples.
    fn encode(&self, row: &mut CanvasRow) {
        match (self.format.model, self.format.depth) {
            (ColourModel::Gray | ColourModel::Rgb, BitDepth::Eight) => {
                self.encode_with(row, linear_light::encoded_coarsely);
            }
            (ColourModel::Gray | ColourModel::Rgb, BitDepth::Sixteen) => {
                self.encode_with(row, linear_light::encoded);
            }
            (ColourModel::Cmyk | ColourModel::Lab, BitDepth::Eight) => {
                self.encode_with(row, coarse)
            }
            (ColourModel::Cmyk | ColourModel::Lab, BitDepth::Sixteen) => {
                self.encode_with(row, saturated);
            }
        }
    }

    fn encode_with(&self, row: &mut CanvasRow, encoded: impl Fn(u64) -> u16) {
        let sums = std::mem::take(&mut row.sums);
        let looked_at = |side: u32| u64::from(side.div_ceil(self.step)) * u64::from(row.added);
        let whole = looked_at(self.factor);
        let last = looked_at(self.format.width - (self.across() - 1) * self.factor);
        let (body, end) = sums.split_at(sums.len() - self.channels());
        let mean = |sum: &u64, pixels: u64| encoded((sum + pixels / 2) / pixels);
        row.samples.reserve_exact(sums.len());
        row.samples.extend(body.iter().map(|sum| mean(sum, whole)));
        row.samples.extend(end.iter().map(|sum| mean(sum, last)));
    }

    const fn channels(&self) -> usize {
        self.format.model.channels()
    }

    /// Pixels in a row of the preview.
    const fn across(&self) -> u32 {
        self.format.width.div_ceil(self.factor)
    }

    const fn samples_across(&self) -> usize {
        self.across() as usize * self.channels()
    }
}

/// Brings samples from their stored order to the order in which they are seen.
fn turned(
    samples: Vec<u16>,
    channels: usize,
    across: u32,
    down: u32,
    orientation: Orientation,
) -> Vec<u16> {
    if orientation == Orientation::Upright {
        return samples;
    }
    let width = if orientation.swaps_sides() { down } else { across } as usize;
    let mut seen = vec![0; samples.len()];
    let places = (0..down).flat_map(|row| (0..across).map(move |column| (column, row)));
    for (pixel, (column, row)) in samples.chunks_exact(channels).zip(places) {
        let (x, y) = orientation.seen_at(column, row, across, down);
        let at = (y as usize * width + x as usize) * channels;
        seen[at..at + channels].copy_from_slice(pixel);
    }
    seen
}

/// The smallest side of a square for which the preview keeps to so many pixels.
fn smallest_factor(width: u32, height: u32, most_pixels: u64) -> u32 {
    let pixels =
        |factor: u32| u64::from(width.div_ceil(factor)) * u64::from(height.div_ceil(factor));
    // No smaller factor can do, as cut squares only add pixels.
    let least = (u64::from(width) * u64::from(height) / most_pixels).isqrt();
    let least = u32::try_from(least).unwrap_or(u32::MAX).max(1);
    (least..u32::MAX).find(|factor| pixels(*factor) <= most_pixels).unwrap_or(u32::MAX)
}

/// How the pixels of a picture row fall into squares.
struct Squares {
    factor: usize,
    step: usize,
}

impl Squares {
    /// Adds the light of the pixels that are looked at to the `C` sums of each square.
    ///
    /// The sum of a square fits: at most 2^16 × 2^16 pixels of 2^26 each.
    fn add_light<T: Sample, const C: usize>(&self, sums: &mut [u64], samples: &[T]) {
        let table = T::light_table();
        let squares = samples.as_chunks::<C>().0.chunks(self.factor);
        for (sums, pixels) in sums.as_chunks_mut::<C>().0.iter_mut().zip(squares) {
            let mut part = [0_u64; C];
            for pixel in pixels.iter().step_by(self.step) {
                for (sum, sample) in part.iter_mut().zip(pixel) {
                    *sum += sample.light(table);
                }
            }
            for (sum, more) in sums.iter_mut().zip(part) {
                *sum += more;
            }
        }
    }

    /// As [`Self::add_light`] for samples that are no light: device values and CIELAB are averaged
    /// as they are, on the scale of 16 bits.
    fn add_samples<T: Sample, const C: usize>(&self, sums: &mut [u64], samples: &[T]) {
        let scale = u64::from(u16::MAX) / T::MAX.widened();
        let squares = samples.as_chunks::<C>().0.chunks(self.factor);
        for (sums, pixels) in sums.as_chunks_mut::<C>().0.iter_mut().zip(squares) {
            let looked_at = pixels.iter().step_by(self.step);
            for (channel, sample) in looked_at.flat_map(|pixel| by_channel(pixel)) {
                sums[channel] += sample * scale;
            }
        }
    }
}

fn by_channel<T: Sample>(pixel: &[T]) -> impl Iterator<Item = (usize, u64)> {
    pixel.iter().map(|sample| sample.widened()).enumerate()
}

fn saturated(sample: u64) -> u16 {
    u16::try_from(sample).unwrap_or(u16::MAX)
}

/// A sample on the scale of 16 bits.
fn in_16_bits<T: Sample>(sample: T) -> u16 {
    saturated(sample.widened() * (u64::from(u16::MAX) / T::MAX.widened()))
}

/// The nearest step of 8 bits.
fn coarse(sample: u64) -> u16 {
    sample_of(byte_of(saturated(sample)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_factor_is_the_smallest_that_keeps_the_limit() {
        for (width, height, factor) in [
            (1, 1, 1),
            (2000, 1000, 1),
            (2001, 1000, 2),
            (6000, 4000, 4),
            (10_000, 10_000, 8),
            (u32::MAX, 1, 2148),
        ] {
            let found = smallest_factor(width, height, MOST_PREVIEW_PIXELS);
            assert_eq!(found, factor, "{width} × {height}");
        }
    }
}
