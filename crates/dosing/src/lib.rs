//! From coverage to millilitres, with an honest range.
//!
//! ml of a channel = area × lay-down × mean over the picture of its coverage. [`CoverageTally`]
//! sums the coverages of a picture's colours, [`dose`] turns the means into volumes, and
//! [`PriorWidths`] says how far off they may be while nothing has been measured.
//!
//! Start-up, cleaning and idle ink are separate facts of a machine and never part of a picture's
//! ink. Deliberately absent: pictures and prices.

mod coverage_tally;
mod dose;
mod prior_widths;

pub use coverage_tally::CoverageTally;
pub use dose::{Dose, VolumeRange, dose};
pub use prior_widths::PriorWidths;
