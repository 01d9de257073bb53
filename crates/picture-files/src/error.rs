use std::io;

use colour::BitDepth;
use thiserror::Error;

/// Why a picture file can't be written, sorted by whose fault it is.
#[derive(Debug, Error)]
pub enum PictureFileError {
    // The caller's fault.
    /// A picture without pixels, or one too large for the format.
    #[error("a picture of {width} x {height} pixels can't be written; each side needs 1 to {most}")]
    Size {
        /// Width in pixels.
        width: u32,
        /// Height in pixels.
        height: u32,
        /// The longest side of the format.
        most: u32,
    },
    /// A number of ink channels that the format doesn't take.
    #[error("{inks} ink channels, outside 1 to {most}; write fewer channels")]
    Inks {
        /// How many channels there are.
        inks: usize,
        /// How many there may be.
        most: usize,
    },
    /// A name of an ink that the format can't hold.
    #[error("the ink name `{name}` can't be written; names are 1 to 100 characters without NUL")]
    InkName {
        /// The name that was refused.
        name: String,
    },
    /// A depth that the colours aren't written with.
    #[error("these colours are not written with {depth:?} bits; use the other depth")]
    Depth {
        /// The depth that was refused.
        depth: BitDepth,
    },
    /// A row that is not as wide as the picture.
    #[error("a row has {samples} samples, not {expected} as the picture says")]
    RowLength {
        /// Samples of the row.
        samples: usize,
        /// Samples that a row must have.
        expected: usize,
    },
    /// A row whose samples are not as deep as the picture's.
    #[error("a row has samples of another depth than the picture's {expected:?} bits")]
    RowDepth {
        /// Depth of the picture.
        expected: BitDepth,
    },
    /// A row after the last, or an end before it.
    #[error("{written} rows, not {expected} as the picture says")]
    RowCount {
        /// Rows that were written, the refused one included.
        written: u32,
        /// Rows of the picture.
        expected: u32,
    },

    // The place that the file goes to.
    /// The bytes could not be written.
    #[error("{0}; check the place that the file goes to")]
    Write(#[from] io::Error),
}

impl From<png::EncodingError> for PictureFileError {
    fn from(error: png::EncodingError) -> Self {
        match error {
            png::EncodingError::IoError(cause) => Self::Write(cause),
            other => Self::Write(io::Error::other(other)),
        }
    }
}
