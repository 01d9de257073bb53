//! The ledger: measured jobs, censuses of pictures and calibrations in one `SQLite` file.
//!
//! This room is the one owner of SQL. [`Ledger::open`] takes a path from the shell; jobs are
//! added, listed and corrected (the value before is kept), censuses are kept by the hash of their
//! picture's file, and calibrations by name and version; uploads, keys and answers of a service
//! likewise. Every change is one transaction with a write-ahead log.
//!
//! [`PictureStore`] is a file apart: a cache of counted pictures by path, size and time, which may
//! be lost at any time.
//!
//! [`read_job_table`] and [`write_job_table`] are the CSV form of jobs.
//!
//! Deliberately absent: HTTP, pictures, computing, the clock, and where the file lies.

mod answers;
mod api_keys;
mod calendar_date;
mod calibrations;
mod census_store;
mod corrections;
mod decimal_style;
mod error;
mod job;
mod job_export;
mod job_table;
mod jobs;
mod ledger;
mod picture_store;
mod schema;
mod stored_calibration;
mod upload;
mod upload_months;
mod uploads;

pub use api_keys::{Role, StoredKey};
pub use calendar_date::CalendarDate;
pub use corrections::{Change, Correction};
pub use error::LedgerError;
pub use job::{Includes, Job, MeasuredBy, Readings, RecordedJob};
pub use job_export::write_job_table;
pub use job_table::{JobRow, RowFault, TableFaults, read_job_table};
pub use jobs::JobFilter;
pub use ledger::{Ledger, Opening};
pub use picture_store::{FileStamp, KeptForms, PictureStore};
pub use stored_calibration::{CalibrationLabel, CalibrationName, StoredCalibration};
pub use upload::{
    AnswerKind, CountedUpload, NewAnswer, NewUpload, StoredAnswer, StoredUpload, UploadFilter,
    UploadState,
};
pub use upload_months::{FigurePlaces, UploadMonth};
pub use uploads::Received;
