use std::io::{Seek, Write};

use colour::{BitDepth, Lab, Orientation};

use crate::row::{RowCheck, bytes_of};
use crate::tiff::directory::{Directory, Kind, tag};
use crate::tiff::rows::TiffRows;
use crate::{PictureFileError, PixelResolution};

/// The most ink channels of a file: as many as an ICC profile can have.
pub const MOST_INKS: usize = 15;

/// Longest name of an ink in characters. Our choice.
const LONGEST_INK_NAME: usize = 100;

/// A TIFF file to be written row by row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TiffPicture<'a> {
    /// Width in pixels, at least 1.
    pub width: u32,
    /// Height in pixels, at least 1.
    pub height: u32,
    /// What the samples mean.
    pub colour: TiffColour<'a>,
    /// Bits of a sample; CIELAB takes 16.
    pub depth: BitDepth,
    /// How the rows are to be turned for viewing.
    pub orientation: Orientation,
    /// Size of the pixels.
    pub resolution: Option<PixelResolution>,
    /// An ICC profile for the samples.
    pub profile: Option<&'a [u8]>,
}

/// What the samples of a TIFF file mean.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TiffColour<'a> {
    /// One sample, 0 black.
    Gray,
    /// Red, green, blue.
    Rgb,
    /// CIELAB (D50), 16 bits: see [`lab_samples`].
    CieLab,
    /// One sample an ink, 0 none and full scale all of it: the names, in the order of the samples.
    ///
    /// Cyan, magenta, yellow and black alone, in this order, are marked as CMYK, which the format
    /// leaves without names.
    Inks(&'a [&'a str]),
}

impl TiffColour<'_> {
    const fn samples(self) -> usize {
        match self {
            Self::Gray => 1,
            Self::Rgb | Self::CieLab => 3,
            Self::Inks(names) => names.len(),
        }
    }

    /// PhotometricInterpretation (TIFF 6.0, sections 8, 16, 23).
    const fn photometric(self) -> u16 {
        match self {
            Self::Gray => 1,
            Self::Rgb => 2,
            Self::Inks(_) => 5,
            Self::CieLab => 8,
        }
    }

    fn is_cmyk(self) -> bool {
        matches!(self, Self::Inks(names) if names == ["cyan", "magenta", "yellow", "black"])
    }
}

/// A colour as the three samples of a 16-bit CIELAB file: L* over the whole scale, a* and b* as
/// signed 256ths in two's complement (TIFF technical note on 16-bit CIELAB, from memory).
/// Colours outside are cut to 0 to 100 and ±128.
#[must_use]
pub fn lab_samples(colour: Lab) -> [u16; 3] {
    let lightness = colour.l.clamp(0.0, 100.0) / 100.0 * f64::from(u16::MAX);
    [whole(lightness), signed(colour.a), signed(colour.b)]
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to 16 bits before"
)]
const fn whole(value: f64) -> u16 {
    value.round() as u16
}

#[expect(clippy::cast_possible_truncation, reason = "a cast from float saturates, as is wanted")]
const fn signed(value: f64) -> u16 {
    ((value * 256.0).round() as i16).cast_unsigned()
}

impl TiffPicture<'_> {
    /// Writes the head of the file; the rows follow, then the directory.
    ///
    /// # Errors
    ///
    /// `Size` for a picture without pixels, `Inks`, `InkName` and `Depth` for what the format
    /// doesn't take, `Write` when the bytes can't be written.
    pub fn start<W: Write + Seek>(&self, to: W) -> Result<TiffRows<W>, PictureFileError> {
        self.check()?;
        let samples = self.width as usize * self.colour.samples();
        let check = RowCheck { samples, depth: self.depth, rows: self.height, written: 0 };
        TiffRows::start(to, check, samples * bytes_of(self.depth), self.directory())
    }

    fn check(&self) -> Result<(), PictureFileError> {
        let (width, height) = (self.width, self.height);
        if width == 0 || height == 0 {
            return Err(PictureFileError::Size { width, height, most: u32::MAX });
        }
        let TiffColour::Inks(names) = self.colour else {
            return match (self.colour, self.depth) {
                (TiffColour::CieLab, depth @ BitDepth::Eight) => {
                    Err(PictureFileError::Depth { depth })
                }
                _ => Ok(()),
            };
        };
        if !(1..=MOST_INKS).contains(&names.len()) {
            return Err(PictureFileError::Inks { inks: names.len(), most: MOST_INKS });
        }
        let unfit = |name: &&&str| {
            name.is_empty() || name.contains('\0') || name.chars().count() > LONGEST_INK_NAME
        };
        match names.iter().find(unfit) {
            Some(name) => Err(PictureFileError::InkName { name: (*name).to_owned() }),
            None => Ok(()),
        }
    }

    /// The directory but for what is only known once the rows are written.
    fn directory(&self) -> Directory {
        let samples = self.colour.samples();
        let bits = 8 * u16::try_from(bytes_of(self.depth)).unwrap_or(2);
        let mut directory = Directory::default();
        directory.longs(tag::WIDTH, &[self.width]);
        directory.longs(tag::HEIGHT, &[self.height]);
        directory.shorts(tag::BITS_PER_SAMPLE, &vec![bits; samples]);
        directory.shorts(tag::COMPRESSION, &[tag::DEFLATE]);
        directory.shorts(tag::PHOTOMETRIC, &[self.colour.photometric()]);
        directory.shorts(tag::SAMPLES_PER_PIXEL, &[u16::try_from(samples).unwrap_or(u16::MAX)]);
        directory.shorts(tag::PLANAR, &[tag::INTERLEAVED]);
        if self.orientation != Orientation::Upright {
            directory.shorts(tag::ORIENTATION, &[self.orientation.tag()]);
        }
        if let Some(resolution) = self.resolution {
            let [across, along] = resolution.fractions();
            directory.fraction(tag::X_RESOLUTION, across);
            directory.fraction(tag::Y_RESOLUTION, along);
            directory.shorts(tag::RESOLUTION_UNIT, &[tag::INCH]);
        }
        if let TiffColour::Inks(names) = self.colour {
            self.describe_inks(names, &mut directory);
        }
        if let Some(profile) = self.profile {
            directory.bytes(tag::ICC_PROFILE, Kind::Undefined, profile.to_vec());
        }
        directory
    }

    fn describe_inks(&self, names: &[&str], directory: &mut Directory) {
        let inks = u16::try_from(names.len()).unwrap_or(u16::MAX);
        directory.shorts(tag::NUMBER_OF_INKS, &[inks]);
        if self.colour.is_cmyk() {
            directory.shorts(tag::INK_SET, &[tag::INK_SET_CMYK]);
            return;
        }
        directory.shorts(tag::INK_SET, &[tag::INK_SET_NAMED]);
        let ended = names.iter().flat_map(|name| name.bytes().chain([0])).collect();
        directory.bytes(tag::INK_NAMES, Kind::Ascii, ended);
    }
}
