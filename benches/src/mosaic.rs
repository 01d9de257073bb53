use std::path::Path;

use jpeg_encoder::{Encoder, ImageBuffer, JpegColorType, SamplingFactor, rgb_to_ycbcr};

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

/// 12 megapixels, what a phone takes (common practice, no source), in nine fields.
pub(crate) const PHONE_SIZED: Mosaic = Mosaic { width: 4000, height: 3000, fields: 3 };

/// A quality that cameras and photo editors commonly write (common practice, no source).
const JPEG_QUALITY: u8 = 90;

impl Mosaic {
    /// Saves the mosaic as a baseline JPEG of quality 90.
    pub(crate) fn save(
        self,
        photographs: &[Photograph],
        chroma: SamplingFactor,
        path: &Path,
    ) -> Result<(), BenchError> {
        let failed = |cause| BenchError::Encoding { path: path.to_owned(), cause };
        let mut encoder = Encoder::new_file(path, JPEG_QUALITY).map_err(failed)?;
        encoder.set_sampling_factor(chroma);
        encoder.encode_image(JpegRows { mosaic: self, photographs }).map_err(failed)
    }

    /// The RGB bytes of a row.
    pub(crate) fn row(self, photographs: &[Photograph], row: usize) -> Vec<u8> {
        let width = usize::from(self.width);
        let (across, down) = (width.div_ceil(self.fields), self.rows().div_ceil(self.fields));
        let mut samples = Vec::with_capacity(3 * width);
        for column in 0..width {
            let field = row / down * self.fields + column / across;
            let photograph = &photographs[field % photographs.len()];
            samples.extend_from_slice(pixel(photograph, column % across, row % down));
        }
        samples
    }

    pub(crate) fn rows(self) -> usize {
        usize::from(self.height)
    }

    pub(crate) fn megapixels(self) -> f64 {
        f64::from(self.width) * f64::from(self.height) / 1e6
    }
}

/// The mosaic as the encoder asks for it, so that it is never held as a whole.
struct JpegRows<'a> {
    mosaic: Mosaic,
    photographs: &'a [Photograph],
}

impl ImageBuffer for JpegRows<'_> {
    fn get_jpeg_color_type(&self) -> JpegColorType {
        JpegColorType::Ycbcr
    }

    fn width(&self) -> u16 {
        self.mosaic.width
    }

    fn height(&self) -> u16 {
        self.mosaic.height
    }

    fn fill_buffers(&self, row: u16, buffers: &mut [Vec<u8>; 4]) {
        for [red, green, blue] in self.mosaic.row(self.photographs, row.into()).as_chunks().0 {
            let (luma, bluish, reddish) = rgb_to_ycbcr(*red, *green, *blue);
            for (buffer, sample) in buffers.iter_mut().zip([luma, bluish, reddish]) {
                buffer.push(sample);
            }
        }
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
        let photographs = [plain(10), plain(20), plain(30)];
        let rows = (0..2).flat_map(|row| mosaic.row(&photographs, row));
        let tones: Vec<u8> = rows.step_by(3).collect();
        assert_eq!(tones, [10, 10, 20, 20, 30, 30, 10, 10]);
    }
}
