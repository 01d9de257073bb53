use std::fmt;

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
#[derive(Clone, Debug, Error, PartialEq)]
#[error("{}", in_one_line(&format!("{place} {fault}")))]
pub struct Problem {
    /// Where.
    pub place: Place,
    /// What is wrong, and the remedy.
    pub fault: Fault,
}

/// A place in the text of an ink set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The file or built-in set that was read.
    pub origin: String,
    /// The line, counted from 1.
    pub line: usize,
    /// The key and whose it is, for example "`limit_percent` of ink `cyan`".
    pub key: String,
}

impl fmt::Display for Place {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}, line {}: {}", self.origin, self.line, self.key)
    }
}

/// A message that repeats what a file says must not move the cursor of a terminal.
fn in_one_line(message: &str) -> String {
    message.replace(char::is_control, "\u{fffd}")
}

fn in_lines(problems: &[Problem]) -> String {
    let lines: Vec<String> = problems.iter().map(Problem::to_string).collect();
    lines.join("\n")
}

/// What to do about a name that nothing has.
pub(crate) fn remedy(nearest: Option<&str>, known: &[String]) -> String {
    match (nearest, known) {
        (Some(nearest), _) => format!("did you mean `{nearest}`?"),
        (None, []) => "there is none, so leave it out".to_owned(),
        (None, known) => format!("use one of {}", quoted(known)),
    }
}

/// Names in backticks, separated by commas.
pub(crate) fn quoted(names: &[String]) -> String {
    let names: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    names.join(", ")
}
