//! Estimates, comparisons, quotes, routing and payback as terminal tables, JSON, CSV and pages to
//! be mailed.
//!
//! The serialised forms in [`wire`], [`wire_quote`] and [`wire_monthly`] belong to this room and
//! carry their own versions; they change only with them. Deliberately absent: computing anything new, and where the text goes.

mod chart_summary;
mod colour_report;
mod comparison_table;
mod csv_form;
mod estimate_table;
mod evidence;
mod fit_report;
mod from_estimates;
mod from_monthly;
mod from_quote;
mod from_verdicts;
mod html;
mod json_lines;
mod monthly_csv;
mod monthly_reports;
mod monthly_tables;
pub mod page_parts;
#[cfg(feature = "parquet")]
mod parquet_form;
mod price_list_table;
mod quote_csv;
mod quote_report;
mod quote_table;
mod report_document;
mod row_forms;
mod verdict_lines;
pub mod wire;
pub mod wire_fit;
pub mod wire_monthly;
pub mod wire_quote;

pub use chart_summary::chart_summary;
pub use colour_report::{ColourReport, MixtureReport};
pub use evidence::PictureEvidence;
pub use fit_report::FitReport;
pub use html::Letter;
pub use monthly_reports::{MonthlyContext, PaybackReport, RoutingReport};
pub use price_list_table::price_list_table;
pub use quote_report::{QuoteContext, QuoteReport};
pub use report_document::{FileOutcome, Report};
