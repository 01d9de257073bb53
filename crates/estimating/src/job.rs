use std::num::NonZeroU32;

use icc::RenderingIntent;

use crate::SizeRequest;

/// What is to be printed of a picture, apart from the ink set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Job {
    /// Wanted size; empty takes the file's resolution.
    pub size: SizeRequest,
    /// Number of prints.
    pub copies: NonZeroU32,
    /// How colours outside the set's reach are met.
    pub rendering: RenderingChoice,
}

/// The rendering intents on offer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum RenderingChoice {
    /// Media-relative with black-point compensation: the default of most picture printing
    /// (common practice, no source).
    #[default]
    Relative,
    /// Media-relative without compensation: shadows darker than the set's black are clipped.
    RelativeUncompensated,
    /// The profile's perceptual table where it has one, with black-point compensation and the
    /// source's gamut pressed smoothly into the set's.
    Perceptual,
    /// As measured: the source's white is printed as a tint of the paper.
    Absolute,
}

impl RenderingChoice {
    /// The words by which a report names the choice.
    #[must_use]
    pub const fn description(self) -> &'static str {
        match self {
            Self::Relative => "relative colorimetric with black-point compensation",
            Self::RelativeUncompensated => "relative colorimetric without black-point compensation",
            Self::Perceptual => {
                "perceptual, with black-point compensation and smooth gamut compression"
            }
            Self::Absolute => "absolute colorimetric",
        }
    }

    /// The table by which the target of comparisons is read: colorimetric, so that no ink set
    /// and no compensation moves it; absolute where the job's own colours are.
    pub(crate) const fn target_intent(self) -> RenderingIntent {
        match self {
            Self::Relative | Self::RelativeUncompensated | Self::Perceptual => {
                RenderingIntent::RelativeColorimetric
            }
            Self::Absolute => RenderingIntent::AbsoluteColorimetric,
        }
    }
}
