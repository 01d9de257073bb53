use crate::{InkSet, InkSetError, ParsedInkSet};

/// An ink set that comes with the program. All of them are invented.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BuiltIn {
    /// The name by which it is called.
    pub name: &'static str,
    /// Its TOML text with all comments, for reading and for copying to a file.
    pub text: &'static str,
}

const BUILT_IN: [BuiltIn; 3] = [
    BuiltIn { name: "five", text: include_str!("../sets/five.toml") },
    BuiltIn { name: "nine", text: include_str!("../sets/nine.toml") },
    BuiltIn { name: "eleven", text: include_str!("../sets/eleven.toml") },
];

impl BuiltIn {
    /// Reads the text.
    ///
    /// # Errors
    ///
    /// As [`InkSet::parse`]; the tests read every built-in set.
    pub fn parse(&self) -> Result<ParsedInkSet, InkSetError> {
        InkSet::parse(self.text, &format!("built-in set {}", self.name))
    }
}

/// The names of the built-in sets, fewest inks first.
pub fn builtin_names() -> impl Iterator<Item = &'static str> {
    BUILT_IN.iter().map(|set| set.name)
}

/// The built-in set of a name.
#[must_use]
pub fn builtin(name: &str) -> Option<&'static BuiltIn> {
    BUILT_IN.iter().find(|set| set.name == name)
}
