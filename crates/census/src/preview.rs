use colour::{BitDepth, ColourModel};

use crate::linear_light;
use crate::sample::STEP;

/// The most pixels of a preview: enough for a page on a screen, and 12 MB at most.
pub const MOST_PREVIEW_PIXELS: u64 = 2_000_000;

/// The picture made small: upright, opaque, in the encoding of the picture.
///
/// Each pixel is the mean of a square of picture pixels, of which a grid of 3 × 3 is taken where the square
/// has more than four a side: of gray and RGB in linear light, of CMYK and CIELAB as they are. The curve of sRGB
/// (IEC 61966-2-1) stands for the tone curve of any source, which is an approximation: a
/// preview is looked at, never dosed. Squares at the right and lower edge may be cut. As it is
/// taken, the preview of a picture of 8 bits is as coarse as the picture: its samples are whole steps of
/// 8 bits. Those of a reduced one are not.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Preview {
    /// Pixels in a row, as seen.
    pub width: u32,
    /// Rows, as seen.
    pub height: u32,
    /// The picture's.
    pub model: ColourModel,
    /// Encoded samples, 0 to 65,535, pixel-interleaved, rows from the top.
    pub samples: Vec<u16>,
}

impl Preview {
    /// The fewest bits that hold the samples as they are.
    pub(crate) fn depth(&self) -> BitDepth {
        let is_whole = |sample: &u16| sample.is_multiple_of(STEP);
        if self.samples.iter().all(is_whole) { BitDepth::Eight } else { BitDepth::Sixteen }
    }

    /// A smaller preview of at most so many pixels, at least one on each side: each is the mean
    /// of the area that it stands for, in linear light. One that is small enough stays as it is.
    #[must_use]
    pub fn reduced(&self, most_pixels: u64) -> Self {
        let pixels = u64::from(self.width) * u64::from(self.height);
        if pixels <= most_pixels {
            return self.clone();
        }
        #[expect(clippy::cast_precision_loss, reason = "previews have two million pixels")]
        let scale = (most_pixels.max(1) as f64 / pixels as f64).sqrt();
        let (width, height) = (shortened(self.width, scale), shortened(self.height, scale));
        let light: Vec<f64> =
            self.samples.iter().map(|sample| f64::from(words()[usize::from(*sample)])).collect();
        let channels = self.model.channels();
        let row = self.width as usize * channels;
        let (columns, rows) = (parts(self.width, width), parts(self.height, height));
        let narrow: Vec<f64> =
            light.chunks(row).flat_map(|row| mean(row, channels, &columns)).collect();
        // A row of the narrow picture is one "pixel" of a column of rows.
        let small = mean(&narrow, width as usize * channels, &rows);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "means of light"
        )]
        let samples =
            small.iter().map(|light| linear_light::encoded(light.round() as u64)).collect();
        Self { width, height, model: self.model, samples }
    }
}

fn words() -> &'static [u32; 1 << 16] {
    linear_light::of_words()
}

fn shortened(side: u32, scale: f64) -> u32 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "shorter than a side"
    )]
    let short = (f64::from(side) * scale).floor() as u32;
    short.max(1)
}

/// Overlaps below this, in pixels, are rounding.
const TRACE: f64 = 1e-9;

/// For each of `to` equal parts of a side of `from` pixels: which pixels it holds, and how much of
/// each.
fn parts(from: u32, to: u32) -> Vec<Vec<(usize, f64)>> {
    let length = f64::from(from) / f64::from(to);
    let part = |index: u32| {
        let (start, end) = (f64::from(index) * length, f64::from(index + 1) * length);
        let overlap = |pixel: u32| end.min(f64::from(pixel + 1)) - start.max(f64::from(pixel));
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "within a side"
        )]
        let (first, last) = (start.floor() as u32, (end.ceil() as u32).min(from));
        // Rounding may leave a trace of a neighbour.
        let held = (first..last).filter(|pixel| overlap(*pixel) > TRACE);
        held.map(|pixel| (pixel as usize, overlap(pixel) / length)).collect()
    };
    (0..to).map(part).collect()
}

/// Means of runs of pixels with so many samples each.
fn mean(samples: &[f64], pixel: usize, parts: &[Vec<(usize, f64)>]) -> Vec<f64> {
    let mut means = vec![0.0; pixel * parts.len()];
    for (mean, part) in means.chunks_mut(pixel).zip(parts) {
        for (place, weight) in part {
            for (sum, sample) in mean.iter_mut().zip(&samples[place * pixel..]) {
                *sum += weight * sample;
            }
        }
    }
    means
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gray(width: u32, height: u32, samples: Vec<u16>) -> Preview {
        Preview { width, height, model: ColourModel::Gray, samples }
    }

    #[test]
    fn a_small_preview_stays_as_it_is() {
        let preview = gray(3, 1, vec![0, 7, 65_535]);
        assert_eq!(preview.reduced(3), preview);
    }

    #[test]
    fn a_reduced_preview_keeps_its_shape_its_limit_and_an_even_colour() {
        let preview = gray(301, 203, vec![40_000; 301 * 203]);
        let small = preview.reduced(5000);
        assert_eq!((small.width, small.height), (86, 58));
        assert!(small.samples.iter().all(|sample| *sample == 40_000));
        assert_eq!(small.samples.len(), 86 * 58);
    }

    #[test]
    fn each_pixel_is_the_mean_light_of_its_area() {
        // Three pixels become two: the middle one is shared.
        let small = gray(3, 2, vec![0, 65_535, 0, 0, 65_535, 0]).reduced(3);
        assert_eq!((small.width, small.height), (2, 1));
        assert!(small.samples.iter().all(|sample| {
            sample.abs_diff(linear_light::encoded(u64::from(linear_light::ONE) / 3)) <= 1
        }));
    }
}
