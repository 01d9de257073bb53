use std::fmt;

use thiserror::Error;

use crate::{ChartFault, ChartRemark};

/// Why a file is no chart that can be used. All variants are the fault of the input.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum ChartError {
    /// The file has faults; these are all that one reading finds, up to a hundred.
    #[error("{}", in_lines(problems))]
    Faulty {
        /// What is wrong, in the order in which it was found; never empty.
        problems: Vec<Problem>,
    },
    /// The file is too large to be a chart.
    #[error(
        "{origin} has {bytes} bytes, outside 1 to {most}; export the chart alone, as CGATS text or \
         CxF3"
    )]
    TooLarge {
        /// The file.
        origin: String,
        /// Its size.
        bytes: usize,
        /// The most allowed.
        most: usize,
    },
}

/// One fault of a chart, with its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// The file that was read.
    pub origin: String,
    /// The line, counted from 1.
    pub line: usize,
    /// What is wrong, and the remedy.
    pub fault: ChartFault,
}

/// Something about a readable chart that a report should repeat.
#[derive(Clone, Debug, PartialEq)]
pub struct Notice {
    /// The file that was read.
    pub origin: String,
    /// The line, counted from 1.
    pub line: usize,
    /// What is to be known.
    pub remark: ChartRemark,
}

impl fmt::Display for Problem {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_line(out, &self.origin, self.line, &self.fault)
    }
}

impl fmt::Display for Notice {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_line(out, &self.origin, self.line, &self.remark)
    }
}

/// A message that repeats what a file says must not move the cursor of a terminal.
fn write_line(
    out: &mut fmt::Formatter<'_>,
    origin: &str,
    line: usize,
    message: &impl fmt::Display,
) -> fmt::Result {
    let text = format!("{origin}, line {line}: {message}");
    out.write_str(&text.replace(char::is_control, "\u{fffd}"))
}

fn in_lines(problems: &[Problem]) -> String {
    let lines: Vec<String> = problems.iter().map(Problem::to_string).collect();
    lines.join("\n")
}
