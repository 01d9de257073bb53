use units::{Area, Volume};

use crate::ChannelUse;

/// A printed job as a calibration sees it.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuredJob {
    /// Number by which findings name the job.
    pub number: i64,
    /// How the picture uses each channel, in the order of the set's inks.
    pub uses: Vec<ChannelUse>,
    /// Printed area, all copies together.
    pub area: Area,
    /// What was measured.
    pub reading: Reading,
    /// The smallest step of the reading: 0.01 ml where it is printed with two decimals.
    pub resolution: Volume,
    /// Whether the reading includes the ink of a job's start-up.
    pub includes_start_up: bool,
}

/// Millilitres that were measured.
#[derive(Clone, Debug, PartialEq)]
pub enum Reading {
    /// Of single inks, in the order of the set's inks; `None` where an ink was not read.
    ByInk(Vec<Option<Volume>>),
    /// Of all inks together.
    Total(Volume),
}
