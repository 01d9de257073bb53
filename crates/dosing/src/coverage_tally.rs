use separation::MAX_CHANNELS;
use units::{Load, Share, TotalAreaCoverage};

use crate::channel_use::PIECES;
use crate::{ChannelUse, ColourUse};

/// Sums the separated colours of a picture.
///
/// Colours must be added, and tallies merged, in a fixed order for results that agree to the last bit.
#[derive(Clone, Debug, PartialEq)]
pub struct CoverageTally {
    channels: usize,
    sums: [f64; MAX_CHANNELS],
    pieces: [[f64; PIECES]; MAX_CHANNELS],
    pixels: u64,
    limited: u64,
    highest_load: Load,
    highest_total: f64,
}

impl CoverageTally {
    /// A tally of nothing for a device of so many channels.
    #[must_use]
    pub const fn new(channels: usize) -> Self {
        Self {
            channels,
            sums: [0.0; MAX_CHANNELS],
            pieces: [[0.0; PIECES]; MAX_CHANNELS],
            pixels: 0,
            limited: 0,
            highest_load: Load::ZERO,
            highest_total: 0.0,
        }
    }

    /// Adds a colour that so many pixels have. Pixels may be parts of pixels, if all are.
    pub fn add(&mut self, colour: &ColourUse, pixels: u64) {
        #[expect(clippy::cast_precision_loss, reason = "pictures have far fewer than 2^52 pixels")]
        let weight = pixels as f64;
        let of_channels = self.sums.iter_mut().zip(&mut self.pieces).take(self.channels);
        for ((sum, pieces), of_colour) in of_channels.zip(&colour.channels) {
            *sum += weight * of_colour.coverage;
            for (piece, part) in pieces.iter_mut().zip(of_colour.pieces) {
                *piece += weight * part;
            }
        }
        self.pixels += pixels;
        self.limited += if colour.limited { pixels } else { 0 };
        self.highest_total = self.highest_total.max(colour.total);
        if colour.load > self.highest_load {
            self.highest_load = colour.load;
        }
    }

    /// Adds what another part of the same picture takes on the same device.
    pub fn merge(&mut self, other: &Self) {
        let of_channels = self.sums.iter_mut().zip(&mut self.pieces);
        for ((sum, pieces), (more, more_pieces)) in
            of_channels.zip(other.sums.iter().zip(&other.pieces))
        {
            *sum += more;
            pieces.iter_mut().zip(more_pieces).for_each(|(piece, more)| *piece += more);
        }
        self.pixels += other.pixels;
        self.limited += other.limited;
        self.highest_total = self.highest_total.max(other.highest_total);
        if other.highest_load > self.highest_load {
            self.highest_load = other.highest_load;
        }
    }

    /// Adds pixels of bare substrate, which take part in the means.
    pub const fn add_unprinted(&mut self, pixels: u64) {
        self.pixels += pixels;
    }

    /// The mean coverage of each channel; zero for a picture without pixels.
    #[must_use]
    pub fn means(&self) -> Vec<Share> {
        self.sums[..self.channels].iter().map(|sum| self.share(*sum)).collect()
    }

    /// How the picture uses each channel.
    #[must_use]
    pub fn uses(&self) -> Vec<ChannelUse> {
        let of_channel =
            |pieces: &[f64; PIECES]| ChannelUse { pieces: pieces.map(|sum| self.share(sum)) };
        self.pieces[..self.channels].iter().map(of_channel).collect()
    }

    /// The share of the picture where a limit bound.
    #[must_use]
    pub fn limited(&self) -> Share {
        #[expect(clippy::cast_precision_loss, reason = "pictures have far fewer than 2^52 pixels")]
        self.share(self.limited as f64)
    }

    /// The most ink at any place.
    #[must_use]
    pub const fn highest_load(&self) -> Load {
        self.highest_load
    }

    /// The highest sum of coverages at any place.
    #[must_use]
    pub fn highest_total_area_coverage(&self) -> TotalAreaCoverage {
        // Coverages lie in 0 to 1 and channels number at most twelve.
        TotalAreaCoverage::from_fraction(self.highest_total).unwrap_or(TotalAreaCoverage::MAX)
    }

    fn share(&self, sum: f64) -> Share {
        #[expect(clippy::cast_precision_loss, reason = "pictures have far fewer than 2^52 pixels")]
        let pixels = self.pixels.max(1) as f64;
        // Rounding may carry a mean of ones past one.
        Share::from_fraction((sum / pixels).min(1.0)).unwrap_or(Share::MIN)
    }
}
