use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::WhatIf;

/// What came in during a month, in universal time.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct MonthForm {
    /// The month, such as 2026-11.
    pub month: String,
    /// Everything that was received.
    pub uploads: u64,
    /// What could be counted.
    pub counted: u64,
    /// What was refused or failed.
    pub refused: u64,
    /// What was estimated at once, because its size was known.
    pub answered: u64,
    /// Printed area of these, as wished with the uploads.
    pub area_m2: f64,
    /// Expected ink of these, as wished with the uploads.
    pub ink_ml: f64,
}

/// What measured jobs have taught of an ink set in a print mode.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct StandingForm {
    /// Name of the ink set.
    pub ink_set: String,
    /// Name of the print mode.
    pub print_mode: String,
    /// Name and version of the calibration in use.
    pub calibration: Option<String>,
    /// Day of its fit.
    pub fitted_on: Option<String>,
    /// Jobs that it was fitted to.
    pub jobs: u64,
    /// How far each job was predicted off from the others, as a share, in the mean.
    pub leave_one_out_mean: Option<f64>,
    /// The worst of them.
    pub leave_one_out_worst: Option<f64>,
    /// What the fit left out or could not tell.
    pub findings: Vec<String>,
    /// Jobs in the ledger that no calibration in use was fitted to.
    pub jobs_since: u64,
    /// Sentences about inks that take more or less than predicted.
    pub drift: Vec<String>,
}

/// A measured job.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct JobForm {
    /// Its number.
    pub number: i64,
    /// Day of the print.
    pub printed_on: String,
    /// Copies, size, ink set, substrate and print mode in words.
    pub print: String,
    /// Millilitres by ink or in total, in words.
    pub readings: String,
}

/// A measurement to be kept.
#[derive(Clone, Debug, Default, PartialEq, Deserialize, ToSchema)]
#[serde(default, deny_unknown_fields)]
pub struct MeasuredEntry {
    /// How the picture was printed; the first ink set counts.
    pub what_if: WhatIf,
    /// Day of the print, such as 2026-11-28.
    pub printed_on: String,
    /// `machine-count`, `weighing` or `cartridge-change`.
    pub measured_by: String,
    /// The smallest step of the readings.
    pub resolution_ml: f64,
    /// `start-up`, `cleaning` and `margins`, joined by `+`; nothing for the picture alone.
    pub includes: String,
    /// Of all inks together; excludes `by_ink`.
    pub total_ml: Option<f64>,
    /// Of single inks, by name.
    pub by_ink: Vec<(String, f64)>,
}
