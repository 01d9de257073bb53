use colour::ColourModel;
use thiserror::Error;

/// Why a census could not be taken, merged or read back.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum CensusError {
    // The picture's fault.
    /// The format of the picture has no pixels.
    #[error("a picture of {width} × {height} pixels has nothing to count; both must be at least 1")]
    NoPixels {
        /// Pixels in a row.
        width: u32,
        /// Rows.
        height: u32,
    },
    /// Rows never came, and the source did not declare them as damage.
    #[error(
        "{missing} of {height} rows were not delivered, the first is row {first}, and the source \
         declared {declared} as damaged; a partly read picture must not be priced"
    )]
    RowsMissing {
        /// How many rows never came.
        missing: u32,
        /// The first of them.
        first: u32,
        /// Rows of the picture.
        height: u32,
        /// Rows that the source declared as missing.
        declared: u64,
    },
    /// Bytes that are not a stored census.
    #[error("not a stored census: the first bytes are not `{magic}`; take the census anew")]
    Foreign {
        /// The first bytes of a stored census.
        magic: &'static str,
    },
    /// A stored census whose bytes have changed or end early.
    #[error("damaged stored census: {detail}; take the census anew")]
    Damaged {
        /// What does not fit.
        detail: String,
    },

    // The caller's fault.
    /// The backdrop's colour model is not the picture's.
    #[error(
        "the backdrop is {backdrop} and the picture {picture}; give the backdrop in the \
         picture's own encoding"
    )]
    BackdropModel {
        /// Model of the backdrop.
        backdrop: ColourModel,
        /// Model of the picture.
        picture: ColourModel,
    },
    /// A sample of the backdrop is no fraction.
    #[error("a sample of the backdrop is {sample}, outside 0 to 1")]
    BackdropOutOfRange {
        /// The value that was refused.
        sample: f64,
    },
    /// A band reaches out of the picture.
    #[error("a band has rows {first} to {last}, but the picture ends before row {height}")]
    BandOutside {
        /// First row of the band.
        first: u32,
        /// Last row of the band.
        last: u64,
        /// Rows of the picture.
        height: u32,
    },
    /// A band does not have the samples that its rows need, or has the other bit depth.
    #[error(
        "the band at row {first} has {samples} samples of the picture's depth instead of {expected}"
    )]
    BandShape {
        /// First row of the band.
        first: u32,
        /// Samples of the right depth in the band.
        samples: usize,
        /// Samples of its rows.
        expected: u64,
    },
    /// A row came twice.
    #[error("row {row} was delivered twice; each row must come exactly once")]
    RowTwice {
        /// The first doubled row.
        row: u32,
    },
    /// Two censuses that can't be one: they differ in colour model or bit depth.
    #[error("a census of {one} can't be merged with one of {other}; merge tiles of one picture")]
    Unlike {
        /// Model and depth of the one.
        one: String,
        /// Model and depth of the other.
        other: String,
    },

    // Limits.
    /// More pixels than the counters are made for.
    #[error("{pixels} pixels are more than the {limit} that can be counted; split the picture")]
    TooManyPixels {
        /// Pixels that were asked for.
        pixels: u64,
        /// The most that can be counted.
        limit: u64,
    },
    /// The stored form of this census would not be read back.
    #[error("the census can't be stored: {detail}")]
    Unstorable {
        /// What does not fit.
        detail: String,
    },

    // Not supported.
    /// A stored census of a later form.
    #[error(
        "the stored census has form {found}, newer than form {newest} that is known here; use a \
         newer program or take the census anew"
    )]
    Newer {
        /// The form of the bytes.
        found: u32,
        /// The newest form that can be read.
        newest: u32,
    },
}

/// Why taking a census stopped: the source of rows failed, or its rows can't be counted.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum TakingError<E: std::error::Error + 'static> {
    /// The source of rows stopped.
    #[error(transparent)]
    Source(E),
    /// The rows can't be counted.
    #[error(transparent)]
    Census(#[from] CensusError),
}
