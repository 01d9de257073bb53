//! From coverage to millilitres, with an honest range, and from measured jobs to a calibration.
//!
//! ml of a channel = area × lay-down × mean over the picture of its volume curve at the coverage.
//! [`CoverageTally`] sums the coverages of a picture's colours. Before anything is measured,
//! [`dose`] turns the means into volumes and [`PriorWidths`] says how far off they may be.
//!
//! [`fit`] learns lay-down, volume curve and start-up ink from [`MeasuredJob`]s and gives a
//! [`Calibration`], whose [`Calibration::dose`] is narrower. [`watch`] holds later jobs
//! against a calibration on a control chart.
//!
//! Start-up ink is a line of its own and never part of a picture's ink; cleaning and idle ink are
//! facts of a machine. Deliberately absent: pictures, prices, SQL and the clock.

mod calibrated_dose;
mod calibration;
mod calibration_prior;
mod channel_use;
mod colour_use;
mod coverage_tally;
mod deviates;
mod dose;
mod drift;
mod equations;
mod error;
mod finding;
mod findings;
mod fit;
mod innovations;
mod leave_one_out;
mod measured_job;
mod normal_matrix;
mod prior_widths;
mod robust_fit;
mod unknowns;
mod volume_curve;

pub use calibrated_dose::CalibratedDose;
pub use calibration::{CalibratedChannel, Calibration, Draw};
pub use calibration_prior::{CalibrationPrior, NominalChannel};
pub use channel_use::{BOUNDS, ChannelUse, PIECES};
pub use colour_use::ColourUse;
pub use coverage_tally::CoverageTally;
pub use dose::{Dose, VolumeRange, dose};
pub use drift::{Direction, DriftSignal, DriftStep, watch};
pub use error::DosingError;
pub use finding::{Finding, Quantity};
pub use fit::{Bootstrap, Fit, fit};
pub use leave_one_out::LeaveOneOut;
pub use measured_job::{MeasuredJob, Reading};
pub use prior_widths::PriorWidths;
pub use volume_curve::VolumeCurve;
