use strict_toml::Read;

use crate::read::read_set;
use crate::{InkSet, InkSetError, Notice};

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
        match strict_toml::read(text, origin, read_set) {
            Ok(Read { value: set, notices }) => Ok(ParsedInkSet { set, notices }),
            Err(problems) => Err(InkSetError::Faulty { problems }),
        }
    }
}
