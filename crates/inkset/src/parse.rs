use toml::de::DeTable;

use crate::read::{Log, read_set};
use crate::{Fault, InkSet, InkSetError, Notice};

/// An ink set that was read, and what a report should say about it.
#[derive(Clone, Debug, PartialEq)]
pub struct ParsedInkSet {
    /// The set.
    pub set: InkSet,
    /// What is unusual about it, in the order of the lines.
    pub notices: Vec<Notice>,
}

impl InkSet {
    /// Reads a set from TOML text; `origin` is the file name that messages carry.
    ///
    /// The text is read strictly: an unknown key, a value of another kind or outside its range,
    /// and a name that nothing has are faults. The annotated example in the crate's folder
    /// shows every key.
    ///
    /// # Errors
    ///
    /// [`InkSetError::Faulty`] with every fault that one reading finds, up to a hundred: each with
    /// its line, key, value, allowed range and remedy. Faults of spelling hide all others, and those of single
    /// parts hide those between parts.
    pub fn parse(text: &str, origin: &str) -> Result<ParsedInkSet, InkSetError> {
        let log = Log::new(text, origin);
        let (document, refusals) = DeTable::parse_recoverable(text);
        for refusal in &refusals {
            let span = refusal.span().unwrap_or_default();
            let detail = refusal.message().replace('\n', ", ");
            log.fault("text", &span, Fault::Syntax { detail });
        }
        let set = refusals.is_empty().then(|| read_set(&log, &document)).flatten();
        let (problems, notices) = log.into_findings();
        match set {
            Some(set) if problems.is_empty() => Ok(ParsedInkSet { set, notices }),
            _ => Err(InkSetError::Faulty { problems }),
        }
    }
}
