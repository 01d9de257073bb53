use strict_toml::{in_lines, remedy};
use thiserror::Error;

use crate::Fault;

/// Why there is no ink set, or not the part of it that was asked for. All variants are the
/// fault of the input.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum InkSetError {
    /// The text of an ink set has faults; these are all that one reading finds.
    #[error("{}", in_lines(problems))]
    Faulty {
        /// What is wrong, in the order of the lines; never empty.
        problems: Vec<Problem>,
    },
    /// The set has no substrate, print mode or ink of this name.
    #[error(
        "`{wanted}` is not {what} of the ink set `{set}`; {}",
        remedy(nearest.as_deref(), known)
    )]
    UnknownName {
        /// What was looked for, with its article: "a substrate".
        what: &'static str,
        /// The name that was asked for.
        wanted: String,
        /// The name of the set.
        set: String,
        /// The known name that comes closest, if any comes close.
        nearest: Option<String>,
        /// All known names.
        known: Vec<String>,
    },
}

/// One fault of the text of an ink set, with its place.
pub type Problem = strict_toml::Problem<Fault>;
