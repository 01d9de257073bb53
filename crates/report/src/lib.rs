//! Estimates and comparisons as terminal tables, JSON, CSV and pages to be mailed.
//!
//! The serialised forms in [`wire`] belong to this room and carry their own version; they change
//! only with it. Deliberately absent: computing anything new, and where the text goes.

mod chart_summary;
mod colour_report;
mod comparison_table;
mod csv_form;
mod estimate_table;
mod evidence;
mod fit_report;
mod from_estimates;
mod from_verdicts;
mod html;
mod report_document;
mod verdict_lines;
pub mod wire;
pub mod wire_fit;

pub use chart_summary::chart_summary;
pub use colour_report::{ColourReport, MixtureReport};
pub use evidence::PictureEvidence;
pub use fit_report::FitReport;
pub use html::Letter;
pub use report_document::{FileOutcome, Report};
