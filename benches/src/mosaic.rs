use std::path::Path;

use jpeg_encoder::{ColorType, Encoder, SamplingFactor};

use crate::bench_error::BenchError;
use crate::photographs::Photograph;

/// A picture of many photographs, each in a field of its own and mirrored at its edges until the
/// field is full.
///
/// More colours meet in it than in one photograph, which makes it the harder case for a census.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Mosaic {
    pub(crate) width: u16,
    pub(crate) height: u16,
    /// Fields in a row, and rows of them.
    pub(crate) fields: usize,
}

/// 24 megapixels, what an ordinary camera takes (common practice, no source), in 16 fields.
pub(crate) const CAMERA_SIZED: Mosaic = Mosaic { width: 6000, height: 4000, fields: 4 };

/// A quality that cameras and photo editors commonly write (common practice, no source).
const JPEG_QUALITY: u8 = 90;

impl Mosaic {
    /// Saves the mosaic as a JPEG of quality 90 with halved chroma both ways (4:2:0).
    pub(crate) fn save(self, photographs: &[Photograph], path: &Path) -> Result<(), BenchError> {
        let failed = |cause| BenchError::Encoding { path: path.to_owned(), cause };
        let mut encoder = Encoder::new_file(path, JPEG_QUALITY).map_err(failed)?;
        encoder.set_sampling_factor(SamplingFactor::F_2_2);
        encoder
            .encode(&self.samples(photographs), self.width, self.height, ColorType::Rgb)
            .map_err(failed)
    }

    fn samples(self, photographs: &[Photograph]) -> Vec<u8> {
        let (width, height) = (usize::from(self.width), usize::from(self.height));
        let (across, down) = (width.div_ceil(self.fields), height.div_ceil(self.fields));
        let mut samples = Vec::with_capacity(3 * width * height);
        for row in 0..height {
            for column in 0..width {
                let field = row / down * self.fields + column / across;
                let photograph = &photographs[field % photographs.len()];
                samples.extend_from_slice(pixel(photograph, column % across, row % down));
            }
        }
        samples
    }
}

/// A pixel of the photograph continued by mirroring it at its edges.
fn pixel(photograph: &Photograph, column: usize, row: usize) -> &[u8] {
    let column = mirrored(column, photograph.width);
    let row = mirrored(row, photograph.height);
    let start = 3 * (row * photograph.width + column);
    &photograph.samples[start..start + 3]
}

const fn mirrored(place: usize, side: usize) -> usize {
    let within = place % (2 * side);
    if within < side { within } else { 2 * side - 1 - within }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_photograph_is_mirrored_at_its_edges() {
        let places: Vec<usize> = (0..8).map(|place| mirrored(place, 3)).collect();
        assert_eq!(places, [0, 1, 2, 2, 1, 0, 0, 1]);
    }

    #[test]
    fn each_field_shows_its_photograph_from_the_corner_on() {
        let plain = |tone: u8| Photograph { width: 1, height: 1, samples: vec![tone; 3] };
        let mosaic = Mosaic { width: 4, height: 2, fields: 2 };
        let samples = mosaic.samples(&[plain(10), plain(20), plain(30)]);
        let tones: Vec<u8> = samples.iter().step_by(3).copied().collect();
        assert_eq!(tones, [10, 10, 20, 20, 30, 30, 10, 10]);
    }
}
