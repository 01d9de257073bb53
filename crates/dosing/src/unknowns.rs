use units::{LayDown, Volume};

use crate::channel_use::PIECES;
use crate::{CalibratedChannel, CalibrationPrior, VolumeCurve};

/// Unknowns of a channel: what each piece of its volume curve adds to the volume at full coverage,
/// relative to the nominal lay-down, and its start-up ink in millilitres.
pub(crate) const KINDS: usize = PIECES + 1;

/// The unknowns of a calibration, all of them ≥ 0, channel by channel. Pieces that are not negative
/// are curves that rise.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Unknowns(pub(crate) Vec<f64>);

impl Unknowns {
    /// What the pieces of a channel add.
    pub(crate) fn rises(&self, channel: usize) -> [f64; PIECES] {
        std::array::from_fn(|piece| self.0[KINDS * channel + piece])
    }

    /// Lay-down relative to the nominal one.
    pub(crate) fn lay_down(&self, channel: usize) -> f64 {
        self.rises(channel).iter().sum()
    }

    /// Share of the volume below 40 % coverage that the piece of shadows doesn't add, as a measure
    /// of the curve.
    pub(crate) fn bent(&self, channel: usize) -> f64 {
        let [highlights, midtones, _] = self.rises(channel);
        (highlights + midtones) / self.lay_down(channel).max(f64::MIN_POSITIVE)
    }

    /// Start-up ink in millilitres.
    pub(crate) fn start_up(&self, channel: usize) -> f64 {
        self.0[KINDS * channel + PIECES]
    }

    /// The calibrated channels, with units.
    pub(crate) fn channels(&self, prior: &CalibrationPrior) -> Vec<CalibratedChannel> {
        (0..prior.channels.len())
            .map(|channel| {
                let nominal = prior.channels[channel].lay_down.to_millilitres_per_square_metre();
                let highest = LayDown::MAX.to_millilitres_per_square_metre();
                let lay_down = (nominal * self.lay_down(channel)).clamp(0.0, highest);
                CalibratedChannel {
                    lay_down: LayDown::from_millilitres_per_square_metre(lay_down)
                        .unwrap_or(LayDown::MIN),
                    curve: VolumeCurve::of_rises(self.rises(channel)),
                    start_up: Volume::from_millilitres(self.start_up(channel))
                        .unwrap_or(Volume::ZERO),
                }
            })
            .collect()
    }
}
