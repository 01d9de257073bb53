use std::io;

use thiserror::Error;

use crate::FileFormat;

/// Why a picture is refused, sorted by whose fault it is.
///
/// The messages leave out the file's name: the caller knows it.
#[derive(Debug, Error)]
pub enum IntakeError {
    // The file is at fault.
    /// There are no bytes.
    #[error("the file is empty; export the picture again")]
    Empty,
    /// The first bytes belong to no known picture format.
    #[error("the file starts with {start}, which is no picture of a known kind; choose a picture")]
    NotAnImage {
        /// The first bytes in hexadecimal.
        start: String,
    },
    /// The file ends before the picture does.
    #[error(
        "the {format} file ends early, {}; fetch or export it again",
        place(*rows_read, *rows_total)
    )]
    Truncated {
        /// What the file is.
        format: FileFormat,
        /// Whole rows before the end.
        rows_read: u32,
        /// Rows of the picture, if the file states them before it ends.
        rows_total: Option<u32>,
    },
    /// The file contradicts its format or itself.
    #[error(
        "the {format} file is damaged: {detail}; open it in an image editor and export it again"
    )]
    Corrupt {
        /// What the file is.
        format: FileFormat,
        /// What is wrong, and where.
        detail: String,
    },
    /// The file states more pixels than its bytes can hold at the format's best compression.
    #[error(
        "the {format} file claims {width} x {height} pixels, which take at least {least_bytes} \
         bytes ({reason}), but it has {file_bytes} bytes; export it again"
    )]
    Implausible {
        /// What the file is.
        format: FileFormat,
        /// Claimed width in pixels.
        width: u32,
        /// Claimed height in pixels.
        height: u32,
        /// The fewest bytes that could hold the claim.
        least_bytes: u64,
        /// Where `least_bytes` comes from.
        reason: &'static str,
        /// The bytes that there are.
        file_bytes: u64,
    },
    /// A page that the file doesn't have.
    #[error("page {page} was asked for, but the {format} file has {pages}; choose 1 to {pages}")]
    NoSuchPage {
        /// What the file is.
        format: FileFormat,
        /// The page that was asked for.
        page: u32,
        /// How many there are.
        pages: u32,
    },
    // The file may be right, but this program can't read it.
    /// A variant that is not read.
    #[error("{what} is not read; {remedy}")]
    Unsupported {
        /// The variant, with its article.
        what: String,
        /// What to do instead.
        remedy: &'static str,
    },
    // A limit that the caller set.
    /// More than [`Limits`](crate::Limits) allow.
    #[error("{quantity} is {value} {unit}, over the limit of {limit} {unit}; {remedy}")]
    TooLarge {
        /// What is too large.
        quantity: &'static str,
        /// How large it is.
        value: u64,
        /// How large it may be.
        limit: u64,
        /// Unit of both.
        unit: &'static str,
        /// What to do.
        remedy: &'static str,
    },
    // The machine is at fault.
    /// The bytes could not be had.
    #[error("{action} failed: {source}; check the path, the disk or the connection and try again")]
    Io {
        /// What was being done.
        action: &'static str,
        /// What the machine says.
        source: io::Error,
    },
}

impl IntakeError {
    pub(crate) const fn reading(action: &'static str, source: io::Error) -> Self {
        Self::Io { action, source }
    }

    pub(crate) fn unsupported(what: impl Into<String>, remedy: &'static str) -> Self {
        Self::Unsupported { what: what.into(), remedy }
    }

    pub(crate) fn corrupt(format: FileFormat, detail: impl Into<String>) -> Self {
        Self::Corrupt { format, detail: detail.into() }
    }

    /// Cut before the size of the picture is known.
    pub(crate) const fn cut_in_header(format: FileFormat) -> Self {
        Self::Truncated { format, rows_read: 0, rows_total: None }
    }

    /// Cut after some of the rows.
    pub(crate) const fn cut_after(format: FileFormat, rows_read: u32, rows_total: u32) -> Self {
        Self::Truncated { format, rows_read, rows_total: Some(rows_total) }
    }
}

fn place(rows_read: u32, rows_total: Option<u32>) -> String {
    match rows_total {
        None => "before its description is complete".to_owned(),
        Some(total) if rows_read >= total => {
            format!("after all {total} rows but before its end mark")
        }
        Some(total) => format!("after {rows_read} of {total} rows"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_truncated_file_is_described_by_the_row_reached() {
        let message = IntakeError::cut_after(FileFormat::Jpeg, 120, 4000).to_string();
        assert_eq!(
            message,
            "the JPEG file ends early, after 120 of 4000 rows; fetch or export it again"
        );
        assert!(
            IntakeError::cut_in_header(FileFormat::Tiff)
                .to_string()
                .contains("before its description is complete")
        );
        assert!(
            IntakeError::cut_after(FileFormat::Png, 9, 9)
                .to_string()
                .contains("after all 9 rows but before its end mark")
        );
    }

    #[test]
    fn a_limit_is_told_with_value_limit_and_remedy() {
        let message = IntakeError::TooLarge {
            quantity: "the picture",
            value: 12,
            limit: 10,
            unit: "pixels",
            remedy: "split it",
        }
        .to_string();
        assert_eq!(message, "the picture is 12 pixels, over the limit of 10 pixels; split it");
    }
}
