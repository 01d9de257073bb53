use std::fmt;
use std::str::FromStr;

use dosing::{Calibration, LeaveOneOut};

use crate::{CalendarDate, LedgerError};

/// A calibration with all that a later reader needs to know of it.
#[derive(Clone, Debug, PartialEq)]
pub struct StoredCalibration {
    /// Name and version.
    pub label: CalibrationLabel,
    /// Day of the fit.
    pub fitted_on: CalendarDate,
    /// Program and version that fitted it.
    pub program: String,
    /// Name of the ink set.
    pub ink_set: String,
    /// Fingerprint of the ink set at the fit.
    pub fingerprint: String,
    /// Name of the print mode.
    pub print_mode: String,
    /// Names of the inks, in the order of the calibration's channels.
    pub inks: Vec<String>,
    /// The values.
    pub calibration: Calibration,
    /// How well each job was predicted from the others.
    pub leave_one_out: Option<LeaveOneOut>,
    /// Numbers of the jobs that it was fitted to, rising.
    pub job_numbers: Vec<i64>,
    /// What the fit left out or could not tell.
    pub findings: Vec<String>,
    /// Whether estimates of its ink set and print mode use it.
    pub active: bool,
}

/// Name and version of a calibration: `harbour.2`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct CalibrationLabel {
    /// The name.
    pub name: CalibrationName,
    /// The version, from 1.
    pub version: u32,
}

/// The name of a calibration: letters, digits, spaces, `-` and `_`, at most 60 of them.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct CalibrationName(String);

/// Longest name; our choice, so that lists stay readable.
const LONGEST_NAME: usize = 60;

impl CalibrationName {
    /// The name as a text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl FromStr for CalibrationName {
    type Err = LedgerError;

    fn from_str(text: &str) -> Result<Self, LedgerError> {
        let allowed = |letter: char| letter.is_alphanumeric() || " -_".contains(letter);
        let trimmed = text.trim();
        if (1..=LONGEST_NAME).contains(&trimmed.chars().count()) && trimmed.chars().all(allowed) {
            return Ok(Self(trimmed.to_owned()));
        }
        Err(LedgerError::CalibrationName { name: text.to_owned() })
    }
}

impl fmt::Display for CalibrationName {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.0)
    }
}

impl fmt::Display for CalibrationLabel {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}.{}", self.name, self.version)
    }
}
