use toml::de::DeTable;

use crate::log::Log;
use crate::{FormatFault, Notice, Problem, Table};

/// What was read, and what a report should say about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Read<T, R> {
    /// What was read.
    pub value: T,
    /// What is unusual about it, in the order of the lines.
    pub notices: Vec<Notice<R>>,
}

/// Reads a TOML text; `origin` is the file name that messages carry.
///
/// # Errors
///
/// Every fault that one reading finds, up to a hundred, in the order of the lines; never empty.
/// Faults of spelling hide all others.
pub fn read<T, F: From<FormatFault>, R>(
    text: &str,
    origin: &str,
    reader: impl for<'t> FnOnce(&Table<'t, F, R>) -> Option<T>,
) -> Result<Read<T, R>, Vec<Problem<F>>> {
    let log = Log::new(text, origin);
    let (document, refusals) = DeTable::parse_recoverable(text);
    for refusal in &refusals {
        let span = refusal.span().unwrap_or_default();
        let detail = refusal.message().replace('\n', ", ");
        log.fault("text", &span, FormatFault::Syntax { detail });
    }
    let value = refusals.is_empty().then(|| reader(&Table::root(&log, &document))).flatten();
    let (problems, notices) = log.into_findings();
    match value {
        Some(value) if problems.is_empty() => Ok(Read { value, notices }),
        _ => Err(problems),
    }
}
