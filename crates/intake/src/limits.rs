use colour::RasterFormat;

use crate::{FileFormat, IntakeError};

/// What a picture may take; checked before anything is allocated for it.
///
/// The defaults are our choice, each with its reason. A caller may lower them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Pixels of a picture. Default 10,000,000,000: a print of 5 × 20 m at 250 pixels per inch
    /// has 9,700,000,000, and whatever counts pixels must hold that many.
    pub max_pixels: u64,
    /// Pixels of a side. Default 2²⁰: a row of 16-bit RGB with opacity then takes 8 MiB.
    pub max_side: u32,
    /// Bytes of an embedded ICC profile. Default 16 MiB: a table from colour to twelve channels
    /// with 33³ nodes of 16 bits takes 0.9 MB, and a profile has three such tables.
    pub max_profile_bytes: usize,
    /// Bytes held at once for pictures that can't be read row by row: progressive JPEG,
    /// interlaced PNG and TIFF tiles. Default 2 GiB: a progressive JPEG of about 350 megapixels
    /// at full chroma.
    pub max_held_bytes: u64,
    /// Shapes, letters and pictures that a PDF page draws, each as often as forms, patterns and
    /// masks repeat it. Default 4,000,000: a map of a city has some hundred thousand, and going
    /// through so many takes seconds.
    pub max_marks: u64,
    /// Bytes of a PDF page's content, unpacked, each form as often as it is shown; showing an
    /// object counts 256 bytes besides. Default 256 MiB, which takes some seconds to go through.
    pub max_content_bytes: u64,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            max_pixels: 10_000_000_000,
            max_side: 1 << 20,
            max_profile_bytes: 16 << 20,
            max_held_bytes: 2 << 30,
            max_marks: 4_000_000,
            max_content_bytes: 256 << 20,
        }
    }
}

impl Limits {
    /// Refuses sides of zero and sizes over the limits.
    pub(crate) fn check_size(
        &self,
        format: FileFormat,
        width: u32,
        height: u32,
    ) -> Result<(), IntakeError> {
        if width == 0 || height == 0 {
            let detail = format!("it states {width} x {height} pixels");
            return Err(IntakeError::corrupt(format, detail));
        }
        let longest = width.max(height);
        if longest > self.max_side {
            return Err(IntakeError::TooLarge {
                quantity: "the longer side",
                value: longest.into(),
                limit: self.max_side.into(),
                unit: "pixels",
                remedy: "reduce the picture or cut it into parts",
            });
        }
        let pixels = u64::from(width) * u64::from(height);
        if pixels > self.max_pixels {
            return Err(IntakeError::TooLarge {
                quantity: "the picture",
                value: pixels,
                limit: self.max_pixels,
                unit: "pixels",
                remedy: "reduce the picture or cut it into parts",
            });
        }
        Ok(())
    }

    /// Refuses an embedded profile of so many bytes if that is over the limit.
    pub(crate) fn check_profile(&self, bytes: u64) -> Result<(), IntakeError> {
        let limit = self.max_profile_bytes as u64;
        if bytes <= limit {
            return Ok(());
        }
        Err(IntakeError::TooLarge {
            quantity: "the embedded profile",
            value: bytes,
            limit,
            unit: "bytes",
            remedy: "convert the picture to a plain RGB profile",
        })
    }

    /// Refuses a page that draws so many marks if that is over the limit.
    pub(crate) fn check_marks(&self, marks: u64) -> Result<(), IntakeError> {
        if marks <= self.max_marks {
            return Ok(());
        }
        Err(IntakeError::TooLarge {
            quantity: "what the PDF page draws, as far as it was counted,",
            value: marks,
            limit: self.max_marks,
            unit: "marks",
            remedy: "export the page's pixels",
        })
    }

    /// Refuses a page that goes through so many bytes of content if that is over the limit.
    pub(crate) fn check_content(&self, bytes: u64) -> Result<(), IntakeError> {
        if bytes <= self.max_content_bytes {
            return Ok(());
        }
        Err(IntakeError::TooLarge {
            quantity: "the content of the PDF page, with forms as often as they are shown,",
            value: bytes,
            limit: self.max_content_bytes,
            unit: "bytes",
            remedy: "export the page's pixels",
        })
    }

    /// Refuses to hold so many bytes of a picture at once if that is over the limit.
    pub(crate) fn check_held(&self, bytes: u64, remedy: &'static str) -> Result<(), IntakeError> {
        if bytes <= self.max_held_bytes {
            return Ok(());
        }
        Err(IntakeError::TooLarge {
            quantity: "the memory that the picture needs at once",
            value: bytes,
            limit: self.max_held_bytes,
            unit: "bytes",
            remedy,
        })
    }
}

/// The fewest bytes in which a format can hold a picture.
pub(crate) struct LeastBytes {
    pub(crate) bytes: u64,
    pub(crate) reason: &'static str,
}

impl LeastBytes {
    /// Refuses a picture that a file of `file_bytes` can't hold.
    pub(crate) fn check(
        &self,
        format: FileFormat,
        raster: &RasterFormat,
        file_bytes: u64,
    ) -> Result<(), IntakeError> {
        if self.bytes <= file_bytes {
            return Ok(());
        }
        Err(IntakeError::Implausible {
            format,
            width: raster.width,
            height: raster.height,
            least_bytes: self.bytes,
            reason: self.reason,
            file_bytes,
        })
    }
}

/// The best that deflate can do: 258 bytes from two bits.
///
/// Source: Adler, "zlib technical details", section "Maximum compression factor".
pub(crate) const DEFLATE_BEST: u64 = 1032;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ten_gigapixels_are_allowed_and_one_row_more_is_not() {
        let limits = Limits::default();
        assert!(limits.check_size(FileFormat::Tiff, 100_000, 100_000).is_ok());
        assert!(matches!(
            limits.check_size(FileFormat::Tiff, 100_000, 100_001),
            Err(IntakeError::TooLarge { value: 10_000_100_000, .. })
        ));
    }

    #[test]
    fn a_side_of_zero_is_damage() {
        let refused = Limits::default().check_size(FileFormat::Png, 0, 7);
        assert!(matches!(refused, Err(IntakeError::Corrupt { .. })));
    }

    #[test]
    fn a_very_long_side_is_refused_even_with_few_pixels() {
        let refused = Limits::default().check_size(FileFormat::Png, 1, (1 << 20) + 1);
        assert!(matches!(refused, Err(IntakeError::TooLarge { unit: "pixels", .. })));
    }
}
