use std::borrow::Cow;
use std::io::Write;

use colour::{BitDepth, ColourModel};
use png::{Encoder, Info, PixelDimensions, SrgbRenderingIntent, StreamWriter, Unit};

use crate::row::RowCheck;
use crate::{PictureFileError, PixelResolution, Row};

/// A PNG file to be written row by row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PngPicture<'a> {
    /// Width in pixels, 1 to 2³¹ − 1.
    pub width: u32,
    /// Height in pixels, 1 to 2³¹ − 1.
    pub height: u32,
    /// Gray or RGB; PNG knows no CMYK.
    pub colour: PngColour,
    /// Bits of a sample.
    pub depth: BitDepth,
    /// Size of the pixels.
    pub resolution: Option<PixelResolution>,
    /// An ICC profile of the colour model; without one the file says sRGB, which for gray means
    /// the tone curve of sRGB.
    pub profile: Option<&'a [u8]>,
}

/// The colours that are written as PNG.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PngColour {
    /// One sample, 0 black.
    Gray,
    /// Red, green, blue.
    Rgb,
}

/// The longest side (PNG third edition, clause 11.2.1).
const LONGEST_SIDE: u32 = i32::MAX as u32;

impl<'a> PngPicture<'a> {
    /// Writes the file; `fill` gives the rows from top to bottom.
    ///
    /// # Errors
    ///
    /// `Size` outside the format's range, whatever `fill` returns, `RowCount` when it leaves rows
    /// out, `Write` when the bytes can't be written.
    pub fn write<W: Write>(
        &self,
        to: W,
        fill: impl FnOnce(&mut PngRows<'_, W>) -> Result<(), PictureFileError>,
    ) -> Result<(), PictureFileError> {
        let (width, height) = (self.width, self.height);
        if !(1..=LONGEST_SIDE).contains(&width) || !(1..=LONGEST_SIDE).contains(&height) {
            return Err(PictureFileError::Size { width, height, most: LONGEST_SIDE });
        }
        let mut encoder = Encoder::with_info(to, self.info())?;
        // Previews are many and read once: speed before size. Our choice.
        encoder.set_compression(png::Compression::Fast);
        let mut writer = encoder.write_header()?;
        let check = RowCheck {
            samples: width as usize * self.colour.model().channels(),
            depth: self.depth,
            rows: height,
            written: 0,
        };
        {
            let mut rows = PngRows { stream: writer.stream_writer()?, check, bytes: Vec::new() };
            fill(&mut rows)?;
            rows.check.end()?;
            rows.stream.finish()?;
        }
        Ok(writer.finish()?)
    }

    fn info(&self) -> Info<'a> {
        let mut info = Info::with_size(self.width, self.height);
        info.color_type = match self.colour {
            PngColour::Gray => png::ColorType::Grayscale,
            PngColour::Rgb => png::ColorType::Rgb,
        };
        info.bit_depth = match self.depth {
            BitDepth::Eight => png::BitDepth::Eight,
            BitDepth::Sixteen => png::BitDepth::Sixteen,
        };
        info.pixel_dims = self.resolution.map(|resolution| {
            let [xppu, yppu] = resolution.per_metre();
            PixelDimensions { xppu, yppu, unit: Unit::Meter }
        });
        info.icc_profile = self.profile.map(Cow::Borrowed);
        if self.profile.is_none() {
            info.srgb = Some(SrgbRenderingIntent::RelativeColorimetric);
        }
        info
    }
}

impl PngColour {
    /// The colour model of the samples.
    #[must_use]
    pub const fn model(self) -> ColourModel {
        match self {
            Self::Gray => ColourModel::Gray,
            Self::Rgb => ColourModel::Rgb,
        }
    }
}

/// A PNG file that takes its rows from top to bottom.
pub struct PngRows<'a, W: Write> {
    stream: StreamWriter<'a, W>,
    check: RowCheck,
    bytes: Vec<u8>,
}

impl<W: Write> PngRows<'_, W> {
    /// Writes the next row.
    ///
    /// # Errors
    ///
    /// `RowCount`, `RowDepth` or `RowLength` when the row is not as promised, `Write` when the
    /// bytes can't be written.
    pub fn write_row(&mut self, row: Row<'_>) -> Result<(), PictureFileError> {
        self.check.next(&row)?;
        self.bytes.clear();
        row.append_to(&mut self.bytes, u16::to_be_bytes);
        Ok(self.stream.write_all(&self.bytes)?)
    }
}
