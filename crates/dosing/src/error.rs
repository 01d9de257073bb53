use thiserror::Error;

/// Why there is no calibration or chart. All variants are the caller's.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
pub enum DosingError {
    /// Nothing was measured.
    #[error("no measured job to calibrate with; add at least one, better eight of different sizes")]
    NoJobs,
    /// A job belongs to other inks.
    #[error(
        "job {job} doesn't have the {channels} channels of the ink set; take it from the set it was printed with"
    )]
    ChannelMismatch {
        /// The job.
        job: i64,
        /// Channels of the ink set.
        channels: usize,
    },
}
