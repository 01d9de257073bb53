//! Estimates and comparisons as terminal tables, JSON, CSV and pages to be mailed.
//!
//! The serialised forms in [`wire`] belong to this room and carry their own version; they change
//! only with it. Deliberately absent: computing anything new, and where the text goes.

mod colour_report;
mod comparison_table;
mod csv_form;
mod estimate_table;
mod evidence;
mod from_estimates;
mod from_verdicts;
mod html;
mod report_document;
mod verdict_lines;
pub mod wire;

pub use colour_report::{ColourReport, MixtureReport};
pub use evidence::PictureEvidence;
pub use html::Letter;
pub use report_document::{FileOutcome, Report};
