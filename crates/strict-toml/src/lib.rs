//! Strict reading of TOML texts: every fault at once, with its line, key, value, range and remedy.
//!
//! [`read`] parses a text and hands its root [`Table`] to a reader of the caller's. The reader asks
//! for keys; whatever is wrong goes into a log, and reading goes on, so that one reading finds all.
//! `F` is the caller's enum of faults, made from the general [`FormatFault`]; `R` is what the caller
//! remarks on without refusing it.
//!
//! ```
//! # use inkfathom_strict_toml as strict_toml;
//! use strict_toml::{FormatFault, Quantity, Table};
//!
//! strict_toml::quantities! {
//!     WIDTH = "width_cm", 1.0 to 500.0 " cm", "write the width of the roll";
//! }
//! let width = |root: &Table<FormatFault, ()>| {
//!     root.only(&[WIDTH.key()]);
//!     root.quantity(&WIDTH, Ok)
//! };
//! assert_eq!(strict_toml::read("width_cm = 61", "roll.toml", width).unwrap().value, 61.0);
//! let problems = strict_toml::read("width_cm = 0", "roll.toml", width).unwrap_err();
//! assert_eq!(
//!     problems[0].to_string(),
//!     "roll.toml, line 1: `width_cm` is 0, outside 1 to 500 cm; write the width of the roll"
//! );
//! ```
//!
//! Deliberately absent: what any key means.

mod entry;
mod finding;
mod format_fault;
mod list;
mod log;
mod nearest;
mod price;
mod quantity;
mod reading;
mod rise;
mod table;

pub use entry::{Entry, every};
pub use finding::{Notice, Place, Problem, in_lines};
pub use format_fault::{FormatFault, quoted, remedy};
pub use list::{names, refuse_repeated_names};
pub use nearest::nearest_name;
pub use price::Prices;
pub use quantity::{Quantity, percent};
pub use reading::{Read, read};
pub use rise::Rise;
pub use table::Table;
