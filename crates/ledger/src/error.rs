use std::path::{Path, PathBuf};

use rusqlite::ErrorCode;
use thiserror::Error;

/// Why the ledger could not be used, sorted by whose fault it is. Whatever happens, what was in
/// the ledger before is still there.
#[derive(Debug, Error)]
pub enum LedgerError {
    /// Input: a text that is no date.
    #[error("`{text}` is not a date; write year, month and day, for example 2026-11-25")]
    Date {
        /// The text.
        text: String,
    },
    /// Input: there is no file.
    #[error("there is no ledger at {}; `jobs add` and `jobs import` begin one", path.display())]
    Missing {
        /// The path.
        path: PathBuf,
    },
    /// Input: the file is something else.
    #[error("{} is not a ledger ({detail}); choose another path", path.display())]
    Foreign {
        /// The path.
        path: PathBuf,
        /// What it is.
        detail: String,
    },
    /// Input: the file was written by a later version.
    #[error(
        "{} has the form {found} of a later version, this one knows forms up to {newest}; use the \
         later program",
        path.display()
    )]
    Newer {
        /// The path.
        path: PathBuf,
        /// The form found.
        found: i64,
        /// The newest known form.
        newest: i64,
    },
    /// Input: the content contradicts itself.
    #[error("the ledger is damaged: {detail}; restore it from a copy")]
    Damaged {
        /// What is wrong.
        detail: String,
    },
    /// Caller: no such job.
    #[error("there is no job {number}; `jobs list` shows what there is")]
    UnknownJob {
        /// The number.
        number: i64,
    },
    /// Caller: a correction of a reading that the job doesn't have.
    #[error("job {number} has no reading of {ink}; it has {known}")]
    UnknownReading {
        /// The job.
        number: i64,
        /// The ink, or "the total".
        ink: String,
        /// The readings that it has.
        known: String,
    },
    /// Caller: a job that is there already.
    #[error(
        "{picture} of {date} with the same readings is in the ledger already, as job {number}; \
         remove the row"
    )]
    KnownJob {
        /// The job that is there.
        number: i64,
        /// Its picture.
        picture: String,
        /// Its date.
        date: String,
    },
    /// Caller: no such calibration.
    #[error("there is no calibration `{name}`{}", known_ones(known))]
    UnknownCalibration {
        /// The name, perhaps with a version.
        name: String,
        /// The labels that exist.
        known: Vec<String>,
    },
    /// Caller: a name that can't be told from a name with a version.
    #[error("`{name}` can't name a calibration; use 1 to 60 letters, digits, spaces, - and _")]
    CalibrationName {
        /// The name.
        name: String,
    },
    /// Machine: another process holds the file.
    #[error("the ledger {} is locked by another program; try again when it has finished", path.display())]
    Locked {
        /// The path.
        path: PathBuf,
    },
    /// Machine: nothing more can be written.
    #[error(
        "the ledger {} can't be written: {detail}; make room or choose another place, nothing was \
         lost",
        path.display()
    )]
    Unwritable {
        /// The path.
        path: PathBuf,
        /// Why.
        detail: String,
    },
    /// Machine: anything else that befell the database.
    #[error("the ledger {}: {detail}", path.display())]
    Database {
        /// The path.
        path: PathBuf,
        /// What the database says.
        detail: String,
    },
}

fn known_ones(known: &[String]) -> String {
    if known.is_empty() {
        "; `calibration fit` makes one".to_owned()
    } else {
        format!("; there are {}", known.join(", "))
    }
}

impl LedgerError {
    /// Sorts what the database reports.
    pub(crate) fn of(path: &Path, cause: &rusqlite::Error) -> Self {
        let path = path.to_owned();
        let detail = cause.to_string();
        let Some(code) = cause.sqlite_error_code() else {
            return Self::Damaged { detail };
        };
        match code {
            ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked => Self::Locked { path },
            ErrorCode::NotADatabase => {
                Self::Foreign { path, detail: "it holds no database".to_owned() }
            }
            ErrorCode::DatabaseCorrupt => Self::Damaged { detail },
            ErrorCode::DiskFull => Self::Unwritable { path, detail: "the disk is full".to_owned() },
            ErrorCode::ReadOnly | ErrorCode::SystemIoFailure | ErrorCode::PermissionDenied => {
                Self::Unwritable { path, detail }
            }
            _ => Self::Database { path, detail },
        }
    }
}
