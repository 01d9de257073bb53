//! Built-in ink sets as arguments.

use clap::builder::PossibleValuesParser;
use inkset::builtin_names;

/// The names that an argument may take.
pub(crate) fn names() -> PossibleValuesParser {
    PossibleValuesParser::new(builtin_names())
}

/// All of them, as the default.
pub(crate) fn all_names() -> Vec<String> {
    builtin_names().map(str::to_owned).collect()
}
