//! Measured charts: patches of known device values with what an instrument read.
//!
//! [`Chart::read`] takes CGATS.17 text (ISO 28178) in its common dialects, and CxF3 (ISO 17972) XML.
//! A chart that is not beyond doubt is refused with every fault at once, each with line, value,
//! range and remedy; what is unusual but clear becomes a notice.
//!
//! ```
//! # use inkfathom_charts as charts;
//! use charts::{Chart, SampleNames};
//!
//! let text = "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID CMYK_C CMYK_M CMYK_Y CMYK_K LAB_L LAB_A LAB_B\n\
//!             END_DATA_FORMAT\nBEGIN_DATA\n1 0 0 0 0 95 0 -2\n2 100 0 0 0 55 -36 -50\nEND_DATA\n";
//! let chart = Chart::read(text.as_bytes(), "two.txt", &SampleNames::Labels)?;
//! assert_eq!(chart.channels.len(), 4);
//! assert_eq!(chart.patches[1].device[0].to_fraction(), 1.0);
//! # Ok::<(), charts::ChartError>(())
//! ```
//!
//! Deliberately absent: inks, papers, and any model of what was printed.

mod cgats;
mod chart;
mod column;
mod cxf;
mod duplicates;
mod error;
mod fault;
mod interpreting;
mod layout;
mod log;
mod measurement;
mod number;
mod plausibility;
mod reading;
mod record;
mod row_numbers;
mod sample_names;
mod table;

pub use chart::{Chart, Measured, Measurement, Patch};
pub use duplicates::{Contradictions, OtherReading};
pub use error::{ChartError, Notice, Problem};
pub use fault::{ChartFault, ChartRemark};
pub use sample_names::SampleNames;
