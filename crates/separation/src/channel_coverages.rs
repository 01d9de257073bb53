use std::ops::Deref;

use units::Coverage;

/// The most channels of a device.
pub const MAX_CHANNELS: usize = 12;

/// The coverage of each channel of a device at one place, in the order of the set's inks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChannelCoverages {
    values: [Coverage; MAX_CHANNELS],
    channels: usize,
}

impl ChannelCoverages {
    /// Unprinted: every channel at zero. Channels beyond twelve are cut off; ink sets hold no
    /// more.
    #[must_use]
    pub fn unprinted(channels: usize) -> Self {
        Self { values: [Coverage::MIN; MAX_CHANNELS], channels: channels.min(MAX_CHANNELS) }
    }

    /// The coverages of all channels. Channels beyond twelve are cut off.
    #[must_use]
    pub fn of(coverages: &[Coverage]) -> Self {
        let mut all = Self::unprinted(coverages.len());
        let places = all.values.iter_mut().zip(coverages);
        places.for_each(|(place, coverage)| *place = *coverage);
        all
    }

    /// Sets a channel, with values outside 0 to 1 clipped to the nearer end.
    pub(crate) fn set_clipped(&mut self, channel: usize, coverage: f64) {
        let clipped = coverage.clamp(0.0, 1.0);
        self.values[channel] = Coverage::from_fraction(clipped).unwrap_or(Coverage::MIN);
    }

    /// Scales every channel by a factor of 0 to 1.
    pub(crate) fn scale(&mut self, factor: f64) {
        for channel in 0..self.channels {
            self.set_clipped(channel, self.values[channel].to_fraction() * factor);
        }
    }
}

impl Deref for ChannelCoverages {
    type Target = [Coverage];

    fn deref(&self) -> &[Coverage] {
        &self.values[..self.channels]
    }
}
