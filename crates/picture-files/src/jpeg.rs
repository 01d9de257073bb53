use std::io;

use jpeg_encoder::{ColorType, Encoder, EncodingError, SamplingFactor};

use crate::PictureFileError;

/// A small JPEG file for a page: 8-bit RGB, written at once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JpegPicture<'a> {
    /// Width in pixels, 1 to 65,535.
    pub width: u32,
    /// Height in pixels, 1 to 65,535.
    pub height: u32,
    /// An ICC profile of the samples.
    pub profile: Option<&'a [u8]>,
}

/// Of 100. Our choice: at this quality blocks don't show on a screen, and files are a tenth of
/// their PNG.
const QUALITY: u8 = 85;
/// The longest side (ITU-T T.81, B.2.2).
const LONGEST_SIDE: u32 = u16::MAX as u32;

impl JpegPicture<'_> {
    /// Writes the file to memory; `samples` are red, green and blue of each pixel.
    ///
    /// # Errors
    ///
    /// `Size` outside the format's range, `RowLength` when the samples are not those of the
    /// picture, `Write` when the profile is too large for the format.
    pub fn to_bytes(&self, samples: &[u8]) -> Result<Vec<u8>, PictureFileError> {
        let (width, height) = (self.width, self.height);
        let side = |side: u32| u16::try_from(side).ok().filter(|side| *side > 0);
        let (Some(across), Some(down)) = (side(width), side(height)) else {
            return Err(PictureFileError::Size { width, height, most: LONGEST_SIDE });
        };
        let expected = width as usize * height as usize * 3;
        if samples.len() != expected {
            return Err(PictureFileError::RowLength { samples: samples.len(), expected });
        }
        let mut file = Vec::new();
        let mut encoder = Encoder::new(&mut file, QUALITY);
        encoder.set_sampling_factor(SamplingFactor::R_4_2_0);
        encoder.set_optimized_huffman_tables(true);
        if let Some(profile) = self.profile {
            encoder.add_icc_profile(profile).map_err(written)?;
        }
        encoder.encode(samples, across, down, ColorType::Rgb).map_err(written)?;
        Ok(file)
    }
}

fn written(cause: EncodingError) -> PictureFileError {
    match cause {
        EncodingError::IoError(cause) => PictureFileError::Write(cause),
        other => PictureFileError::Write(io::Error::other(other)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_read_back_with_its_colours_and_profile() {
        let samples = [200, 40, 30].repeat(64);
        let jpeg = JpegPicture { width: 8, height: 8, profile: Some(&[7; 100]) };
        let file = jpeg.to_bytes(&samples).unwrap();
        assert!(file.windows(12).any(|bytes| bytes == b"ICC_PROFILE\0"));
        let read = jpeg_decoder::Decoder::new(file.as_slice()).decode().unwrap();
        for (found, written) in read.iter().zip(&samples) {
            assert!(found.abs_diff(*written) <= 3, "{found}, not {written}");
        }
    }

    #[test]
    fn what_is_no_picture_is_refused() {
        let of = |width, height, samples: &[u8]| {
            JpegPicture { width, height, profile: None }.to_bytes(samples).unwrap_err().to_string()
        };
        assert!(of(0, 1, &[]).contains("needs 1 to 65535"));
        assert!(of(65_536, 1, &[]).contains("needs 1 to 65535"));
        assert!(of(2, 1, &[0; 3]).contains("3 samples, not 6"));
    }
}
