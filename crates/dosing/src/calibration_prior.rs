use units::{LayDown, Volume};

use crate::PriorWidths;
use crate::channel_use::{BOUNDS, PIECES};
use crate::normal_matrix::NormalMatrix;
use crate::unknowns::{KINDS, Unknowns};

/// What is held true of a device before any job has been measured.
#[derive(Clone, Debug, PartialEq)]
pub struct CalibrationPrior {
    /// The nominal values of each channel, in the order of the set's inks.
    pub channels: Vec<NominalChannel>,
    /// How far off they may be.
    pub widths: PriorWidths,
}

/// The nominal values of one channel.
#[derive(Clone, Debug, PartialEq)]
pub struct NominalChannel {
    /// Name of the ink, for findings.
    pub name: String,
    /// Lay-down by the print mode.
    pub lay_down: LayDown,
    /// Ink at the start of a job that the machine's facts state, zero if they don't.
    pub start_up: Volume,
    /// Whether it is a light ink, whose use is less sure.
    pub light: bool,
    /// Whether the substrate leaves it unused, so that nothing is to be learned of it.
    pub idle: bool,
}

/// A curve that is to stay straight has pieces held to this half-width: nothing that a reading
/// tells.
const HELD_STRAIGHT: f64 = 1e-4;

impl CalibrationPrior {
    /// The same prior with volumes held in proportion to coverage.
    #[must_use]
    pub fn with_straight_curves(mut self) -> Self {
        self.widths.piece = HELD_STRAIGHT;
        self
    }

    /// The nominal values: lay-down as stated, straight curve.
    pub(crate) fn centre(&self) -> Unknowns {
        let of_channel = |channel: &NominalChannel| -> [f64; KINDS] {
            let start_up = channel.start_up.to_millilitres();
            std::array::from_fn(|kind| if kind < PIECES { length(kind) } else { start_up })
        };
        Unknowns(self.channels.iter().flat_map(of_channel).collect())
    }

    /// The inverse of the prior's covariance, in the unknowns of [`Unknowns`].
    pub(crate) fn precision(&self) -> NormalMatrix {
        let size = KINDS * self.channels.len();
        let mut covariance = NormalMatrix::new(size);
        let common = PriorWidths::deviation(self.widths.lay_down).powi(2);
        let piece = PriorWidths::deviation(self.widths.piece).powi(2);
        let start_up = PriorWidths::deviation(self.widths.start_up_ml).powi(2);
        for i in 0..size {
            for j in 0..size {
                let (one, other) = (i / KINDS, j / KINDS);
                let (kind, other_kind) = (i % KINDS, j % KINDS);
                if kind == PIECES || other_kind == PIECES {
                    covariance.add_at(i, j, if i == j { start_up } else { 0.0 });
                    continue;
                }
                let own = if one == other { self.own_deviation(one).powi(2) } else { 0.0 };
                let alone = if i == j { piece } else { 0.0 };
                let value = length(kind) * length(other_kind) * (common + own + alone);
                covariance.add_at(i, j, value);
            }
        }
        covariance.inverse()
    }

    /// A random departure from the nominal values, as likely as the prior says; `normal` gives
    /// normal deviates.
    pub(crate) fn departure(&self, mut normal: impl FnMut() -> f64) -> Vec<f64> {
        let common = PriorWidths::deviation(self.widths.lay_down) * normal();
        let mut all = Vec::with_capacity(KINDS * self.channels.len());
        for channel in 0..self.channels.len() {
            let rise = common + self.own_deviation(channel) * normal();
            for piece in 0..PIECES {
                let alone = PriorWidths::deviation(self.widths.piece) * normal();
                all.push(length(piece) * (rise + alone));
            }
            all.push(PriorWidths::deviation(self.widths.start_up_ml) * normal());
        }
        all
    }

    fn own_deviation(&self, channel: usize) -> f64 {
        PriorWidths::deviation(self.widths.own(self.channels[channel].light))
    }
}

/// Length of a piece of the volume curve, in coverage: what it adds to a straight one.
fn length(piece: usize) -> f64 {
    BOUNDS[piece + 1] - BOUNDS[piece]
}
