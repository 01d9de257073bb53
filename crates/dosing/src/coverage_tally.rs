use separation::{Limits, MAX_CHANNELS, Separated};
use units::{Load, Share, TotalAreaCoverage};

use crate::ChannelUse;
use crate::channel_use::PIECES;

/// Sums the separated colours of a picture.
///
/// Colours must be added in a fixed order for results that agree to the last bit.
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

    /// Adds a colour that so many pixels have.
    pub fn add(&mut self, separated: &Separated, pixels: u64, limits: &Limits) {
        #[expect(clippy::cast_precision_loss, reason = "pictures have far fewer than 2^52 pixels")]
        let weight = pixels as f64;
        let mut total = 0.0;
        let sums = self.sums.iter_mut().zip(&mut self.pieces);
        for ((sum, pieces), coverage) in sums.zip(separated.coverages.iter()) {
            let coverage = coverage.to_fraction();
            *sum += weight * coverage;
            for (piece, part) in pieces.iter_mut().zip(ChannelUse::pieces_of(coverage)) {
                *piece += weight * part;
            }
            total += coverage;
        }
        self.pixels += pixels;
        self.limited += if separated.limited { pixels } else { 0 };
        self.highest_total = self.highest_total.max(total);
        let load = limits.load_of(&separated.coverages);
        if load > self.highest_load {
            self.highest_load = load;
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
