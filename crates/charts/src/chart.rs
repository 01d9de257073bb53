use colour::{Illuminant, Lab, Spectrum, Xyz};
use units::DeviceValue;

use crate::{Notice, OtherReading};

/// A chart as it was read: no patch is left out, none is averaged.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// The form it was written in: the first line of a CGATS text, or "CxF3".
    pub form: String,
    /// What the file calls itself, where it says so.
    pub title: Option<String>,
    /// Names of the device's channels: "cyan", "magenta", "yellow", "black" for CMYK, "channel 1" …
    /// where the file only counts them.
    pub channels: Vec<String>,
    /// What was read of each patch.
    pub measured: Measured,
    /// Measurement condition of ISO 13655 as the file states it: "M0" to "M3".
    pub condition: Option<String>,
    /// What lay behind the sheet as the file states it: "white", "black" or "self".
    pub backing: Option<String>,
    /// The patches in the order of the file.
    pub patches: Vec<Patch>,
    /// What is unusual about the file, in the order of its lines.
    pub notices: Vec<Notice>,
}

/// What an instrument read of every patch of a chart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measured {
    /// Spectra.
    Spectra,
    /// Tristimulus values under D50.
    Tristimulus,
    /// CIELAB under D50, relative to the perfect diffuser.
    Cielab,
}

/// One patch.
#[derive(Clone, Debug, PartialEq)]
pub struct Patch {
    /// The sample's name or number in the file.
    pub name: String,
    /// The line of the file, counted from 1.
    pub line: usize,
    /// Device value of each channel. Not a coverage: what it fires is not known.
    pub device: Vec<DeviceValue>,
    /// What was read.
    pub measurement: Measurement,
    /// How far two sorts of reading in the patch's own row contradict each other, in ΔE00, where
    /// they do so more than those of other rows.
    pub contradiction: Option<f64>,
    /// Another reading of the same device values that makes this one doubtful.
    pub other_reading: Option<OtherReading>,
}

#[expect(
    clippy::large_enum_variant,
    reason = "all patches of a chart are of one variant, and a box for each spectrum saves nothing"
)]
/// What an instrument read of one patch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Measurement {
    /// Reflectance.
    Spectrum(Spectrum),
    /// Tristimulus values under D50, 2° observer; Y of the perfect diffuser is 100.
    Tristimulus(Xyz),
}

impl Measurement {
    /// Tristimulus values under D50, 2° observer.
    #[must_use]
    pub fn xyz(&self) -> Xyz {
        match self {
            Self::Spectrum(spectrum) => Illuminant::D50.tristimulus(spectrum),
            Self::Tristimulus(xyz) => *xyz,
        }
    }

    /// CIELAB under D50 relative to the perfect diffuser.
    #[must_use]
    pub fn lab(&self) -> Lab {
        self.xyz().to_lab(Illuminant::D50.white())
    }

    /// The spectrum, where one was measured.
    #[must_use]
    pub const fn spectrum(&self) -> Option<&Spectrum> {
        match self {
            Self::Spectrum(spectrum) => Some(spectrum),
            Self::Tristimulus(_) => None,
        }
    }
}
