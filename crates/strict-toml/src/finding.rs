use std::error::Error;
use std::fmt;

/// One fault of a text, with its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem<F> {
    /// Where.
    pub place: Place,
    /// What is wrong, and the remedy.
    pub fault: F,
}

/// Something about a readable text that a report should repeat.
#[derive(Clone, Debug, PartialEq)]
pub struct Notice<R> {
    /// Where.
    pub place: Place,
    /// What is to be known.
    pub remark: R,
}

/// A place in a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The file or built-in text that was read.
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

impl<F: fmt::Display> fmt::Display for Problem<F> {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&in_one_line(&format!("{} {}", self.place, self.fault)))
    }
}

impl<R: fmt::Display> fmt::Display for Notice<R> {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&in_one_line(&format!("{} {}", self.place, self.remark)))
    }
}

impl<F: fmt::Debug + fmt::Display> Error for Problem<F> {}

/// A message that repeats what a file says must not move the cursor of a terminal.
fn in_one_line(message: &str) -> String {
    message.replace(char::is_control, "\u{fffd}")
}

/// The messages of several problems, one a line.
#[must_use]
pub fn in_lines<F: fmt::Display>(problems: &[Problem<F>]) -> String {
    let lines: Vec<String> = problems.iter().map(Problem::to_string).collect();
    lines.join("\n")
}
