use census::{CensusError, TakingError};
use icc::IccError;
use inkset::InkSetError;
use intake::IntakeError;
use separation::SeparationError;
use thiserror::Error;
use units::UnitError;

/// Why there is no estimate, sorted by whose fault it is.
#[derive(Debug, Error)]
pub enum EstimatingError {
    /// Input: the picture can't be read.
    #[error(transparent)]
    Picture(#[from] IntakeError),
    /// Input: the picture can't be counted.
    #[error(transparent)]
    Census(#[from] CensusError),
    /// Input: the profile's colours can't be transformed.
    #[error(transparent)]
    Profile(#[from] IccError),
    /// Input: neither the job nor the file says how large the print is.
    #[error(
        "the printed size is unknown: the file states no resolution; pass --width or --height, \
         for example --width 60cm"
    )]
    SizeUnknown,
    /// Input: a side of the print that no device makes.
    #[error("a side of the print is {metres} m, outside 0.001 to 100 m; check the size's unit")]
    SizeAbsurd {
        /// The side.
        metres: f64,
    },
    /// Input: a quantity out of its range.
    #[error(transparent)]
    Unit(#[from] UnitError),
    /// Caller: the ink set lacks what was named.
    #[error(transparent)]
    InkSet(#[from] InkSetError),
    /// Input: the ink set can't be separated.
    #[error(transparent)]
    Separation(#[from] SeparationError),
}

impl From<TakingError<IntakeError>> for EstimatingError {
    fn from(error: TakingError<IntakeError>) -> Self {
        match error {
            TakingError::Source(source) => Self::Picture(source),
            TakingError::Census(census) => Self::Census(census),
        }
    }
}
