use std::fmt;

use lcms2::Intent;

/// How colours are brought to the profile connection space (ICC.1:2022, clause 6.2).
///
/// Saturation is not offered: it is made for charts, not for pictures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RenderingIntent {
    /// The profile's own pleasing rendering, relative to its white.
    Perceptual,
    /// Measured colour relative to the white of the source.
    RelativeColorimetric,
    /// Measured colour with the white of the source kept: a yellowish original stays yellowish.
    AbsoluteColorimetric,
}

impl RenderingIntent {
    pub(crate) const fn to_lcms(self) -> Intent {
        match self {
            Self::Perceptual => Intent::Perceptual,
            Self::RelativeColorimetric => Intent::RelativeColorimetric,
            Self::AbsoluteColorimetric => Intent::AbsoluteColorimetric,
        }
    }
}

impl fmt::Display for RenderingIntent {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::Perceptual => "perceptual",
            Self::RelativeColorimetric => "relative colorimetric",
            Self::AbsoluteColorimetric => "absolute colorimetric",
        })
    }
}
