use std::fmt;

use units::Share;

use crate::ChannelUse;
use crate::channel_use::{BOUNDS, PIECES};

/// How the volume of a channel follows its coverage: straight pieces between 0, 10, 40 and 100 %
/// coverage, rising throughout.
///
/// The simplest of the monotone splines of Ramsay, "Monotone regression splines in action",
/// Statistical Science 3 (1988): as many pieces as a handful of jobs can tell apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VolumeCurve {
    /// Volume at the bounds within, relative to the volume at full coverage.
    volumes: [f64; PIECES - 1],
}

impl VolumeCurve {
    /// Volume in proportion to coverage.
    pub const STRAIGHT: Self = Self { volumes: [BOUNDS[1], BOUNDS[2]] };

    /// Makes a curve from the volumes at 10 and 40 % coverage as shares of the volume at full
    /// coverage; `None` when they fall.
    #[must_use]
    pub fn from_volumes([at_10, at_40]: [Share; PIECES - 1]) -> Option<Self> {
        let volumes = [at_10.to_fraction(), at_40.to_fraction()];
        (volumes[0] <= volumes[1]).then_some(Self { volumes })
    }

    /// The volumes at 10 and 40 % coverage as shares of the volume at full coverage.
    #[must_use]
    pub fn volumes(self) -> [Share; PIECES - 1] {
        // They were checked when the curve was made.
        self.volumes.map(|volume| Share::from_fraction(volume).unwrap_or(Share::MIN))
    }

    /// The curve whose pieces rise by these volumes; straight where nothing rises.
    pub(crate) fn of_rises(rises: [f64; PIECES]) -> Self {
        let full: f64 = rises.iter().sum();
        if full <= 0.0 {
            return Self::STRAIGHT;
        }
        let at_10 = (rises[0] / full).min(1.0);
        Self { volumes: [at_10, ((rises[0] + rises[1]) / full).clamp(at_10, 1.0)] }
    }

    /// Mean relative volume over a picture: 1 where every place is solid.
    pub(crate) fn mean_volume(self, channel_use: &ChannelUse) -> f64 {
        let [at_10, at_40] = self.volumes;
        let rises = [at_10, at_40 - at_10, 1.0 - at_40];
        let pieces = channel_use.pieces.iter().zip(rises).enumerate();
        pieces
            .map(|(k, (used, rise))| used.to_fraction() * rise / (BOUNDS[k + 1] - BOUNDS[k]))
            .sum()
    }
}

impl fmt::Display for VolumeCurve {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [at_10, at_40] = self.volumes.map(|volume| 100.0 * volume);
        write!(out, "{at_10:.1} % at 10 %, {at_40:.1} % at 40 %")
    }
}
