use std::fmt;

use lcms2::PixelFormat;

/// The most inks of an output profile that is read or written: those of a device.
pub(crate) const MOST_COLORANTS: usize = 12;

/// The colorants that an output profile drives.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DeviceSpace {
    /// Cyan, magenta, yellow, black, in this order.
    Cmyk,
    /// So many inks that the signature doesn't name, 1 to 12.
    Inks(usize),
}

impl DeviceSpace {
    /// Number of colorants.
    #[must_use]
    pub const fn colorants(self) -> usize {
        match self {
            Self::Cmyk => 4,
            Self::Inks(inks) => inks,
        }
    }

    /// Reads the colour space of a profile's header (ICC.1:2022, table 19).
    pub(crate) fn of_signature(signature: &[u8]) -> Option<Self> {
        match signature {
            b"CMYK" => Some(Self::Cmyk),
            [digit, b'C', b'L', b'R'] => {
                let inks = char::from(*digit).to_digit(16)? as usize;
                (1..=MOST_COLORANTS).contains(&inks).then_some(Self::Inks(inks))
            }
            _ => None,
        }
    }

    /// The signature as a profile's header has it.
    pub(crate) fn signature(self) -> [u8; 4] {
        match self {
            Self::Cmyk => *b"CMYK",
            Self::Inks(inks) => {
                let digit = u32::try_from(inks).ok().and_then(|inks| char::from_digit(inks, 16));
                let digit = digit.unwrap_or('f').to_ascii_uppercase();
                [digit as u8, b'C', b'L', b'R']
            }
        }
    }

    /// Pixels of double-precision numbers, as the colour management library names them: a
    /// floating-point flag, the colour space (six for CMYK, fourteen and the number of inks
    /// otherwise), the number of channels, and zero for eight bytes each.
    pub(crate) const fn pixel_format(self) -> PixelFormat {
        #[expect(clippy::cast_possible_truncation, reason = "twelve at most")]
        let channels = self.colorants() as u32;
        let space = match self {
            Self::Cmyk => 6,
            Self::Inks(_) => 14 + channels,
        };
        PixelFormat(1 << 22 | space << 16 | channels << 3)
    }

    /// The library's number for a full device value: 100 for what it knows as inks, otherwise 1.
    pub(crate) const fn full_scale(self) -> f64 {
        match self {
            Self::Inks(1..=4) => 1.0,
            Self::Cmyk | Self::Inks(_) => 100.0,
        }
    }
}

impl fmt::Display for DeviceSpace {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Cmyk => out.write_str("CMYK"),
            Self::Inks(1) => out.write_str("one ink"),
            Self::Inks(inks) => write!(out, "{inks} inks"),
        }
    }
}
