use separation::{Limits, MAX_CHANNELS, Separated};
use units::Load;

use crate::ChannelUse;
use crate::channel_use::PIECES;

/// What a separated colour adds to a [`CoverageTally`](crate::CoverageTally), worked out once for
/// the many pictures that have it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ColourUse {
    pub(crate) channels: [OfChannel; MAX_CHANNELS],
    pub(crate) total: f64,
    pub(crate) load: Load,
    pub(crate) limited: bool,
}

/// The coverage of one channel, whole and by the pieces of its volume curve.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct OfChannel {
    pub(crate) coverage: f64,
    pub(crate) pieces: [f64; PIECES],
}

impl ColourUse {
    /// Works it out for a colour on a device with these limits.
    #[must_use]
    pub fn of(separated: &Separated, limits: &Limits) -> Self {
        let mut channels = [OfChannel::default(); MAX_CHANNELS];
        let mut total = 0.0;
        for (channel, coverage) in channels.iter_mut().zip(separated.coverages.iter()) {
            let coverage = coverage.to_fraction();
            *channel = OfChannel { coverage, pieces: ChannelUse::pieces_of(coverage) };
            total += coverage;
        }
        let load = limits.load_of(&separated.coverages);
        Self { channels, total, load, limited: separated.limited }
    }

    /// The ink of all channels.
    #[must_use]
    pub const fn load(&self) -> Load {
        self.load
    }
}
