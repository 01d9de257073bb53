use units::{LayDown, Share, Volume};

use crate::VolumeCurve;

/// What measured jobs have taught of a device: the lay-down, volume curve and start-up ink of
/// each channel, how far readings scatter, and how sure all of it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    /// The best values of each channel, in the order of the set's inks.
    pub channels: Vec<CalibratedChannel>,
    /// Relative scatter of a reading of one ink about its prediction, one standard deviation.
    pub scatter: Share,
    /// Values that the measured jobs allow as well, each as likely as the other: predictions are
    /// made with all of them, and their spread is the range.
    pub draws: Vec<Draw>,
    /// Number of jobs behind it, without those that were left out as a whole.
    pub jobs: u32,
}

/// The calibrated values of one channel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CalibratedChannel {
    /// Millilitres per square metre at full coverage.
    pub lay_down: LayDown,
    /// How volume follows coverage below.
    pub curve: VolumeCurve,
    /// Ink of the channel at the start of a job, whatever its size.
    pub start_up: Volume,
}

/// One set of values that the measured jobs allow.
#[derive(Clone, Debug, PartialEq)]
pub struct Draw {
    /// By channel.
    pub channels: Vec<CalibratedChannel>,
    /// Relative scatter of a reading.
    pub scatter: Share,
}
