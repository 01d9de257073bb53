use thiserror::Error;
use units::UnitError;

/// What can be wrong at a place of any strictly read text.
///
/// Each message continues the name of a key: "`limit_percent` of ink `cyan`" + "is 120, outside
/// 1 to 100 %; …".
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum FormatFault {
    /// The text is not TOML from here on.
    #[error("can't be read as TOML: {detail}; mend the spelling of this line")]
    Syntax {
        /// What the TOML reader says.
        detail: String,
    },
    /// The schema has no such key.
    #[error("is not a key of this place; {}", remedy(nearest.as_deref(), known))]
    UnknownKey {
        /// The key that was probably meant.
        nearest: Option<String>,
        /// The keys that may stand here.
        known: Vec<String>,
    },
    /// A needed key is not there.
    #[error("is missing; {remedy}")]
    Missing {
        /// What to write.
        remedy: String,
    },
    /// The value is of another kind.
    #[error("is {found}, not {wanted}; write {wanted}")]
    WrongKind {
        /// The kind that was found, with its article.
        found: &'static str,
        /// The kind that is needed, with its article.
        wanted: &'static str,
    },
    /// A number outside its range, or not a number at all.
    #[error("is {value}, outside {low} to {high}{unit}; {remedy}")]
    OutOfRange {
        /// The value as written.
        value: String,
        /// The lowest allowed value.
        low: f64,
        /// The highest allowed value.
        high: f64,
        /// The unit of all three, with a space before it where it needs one.
        unit: &'static str,
        /// What to write.
        remedy: &'static str,
    },
    /// A number that counts things and has a fraction.
    #[error("is {digits}, not a whole number; {remedy}")]
    NotWhole {
        /// The number as written.
        digits: String,
        /// What to write.
        remedy: &'static str,
    },
    /// A word that is not one of the few allowed here.
    #[error("is `{word}`; write one of {}", quoted(allowed))]
    UnknownWord {
        /// The word as written.
        word: String,
        /// The allowed words.
        allowed: Vec<String>,
    },
    /// A name that can't be printed in a line of a report.
    #[error(
        "is {length} characters long or not plain text; write 1 to {most} printable characters"
    )]
    UnfitName {
        /// Number of characters.
        length: usize,
        /// The most that are allowed.
        most: usize,
    },
    /// A currency that ISO 4217 lacks.
    #[error("is `{code}`, which is not a currency of ISO 4217; write its code, for example EUR")]
    UnknownCurrency {
        /// The code as written.
        code: String,
    },
    /// An exact number that is not a plain decimal one.
    #[error("is {digits}, not a plain decimal number; write for example 79.50")]
    UnfitDecimal {
        /// The number as written.
        digits: String,
    },
    /// A price without a currency.
    #[error(
        "is missing although line {priced_line} states a price; write its code, for example EUR"
    )]
    CurrencyMissing {
        /// The line of the first price.
        priced_line: usize,
    },
    /// A quantity that its type refuses.
    #[error("can't be used: {0}; correct the numbers that it is made of")]
    Quantity(UnitError),
    /// A list whose length is wrong.
    #[error("has {count} values, not {wanted}: one for each of {of}")]
    Length {
        /// How many there are.
        count: usize,
        /// How many are needed.
        wanted: usize,
        /// What the values belong to.
        of: &'static str,
    },
    /// A key that another one makes useless.
    #[error("is one too many; {remedy}")]
    Superfluous {
        /// What to do.
        remedy: &'static str,
    },
    /// Two things of one name.
    #[error(
        "is `{name}`, the name of {what} in line {first_line} too; give each a name of its own"
    )]
    Duplicate {
        /// What both are, with its article.
        what: &'static str,
        /// The name.
        name: String,
        /// The line of the first one.
        first_line: usize,
    },
    /// A name that nothing in the file has.
    #[error("names `{name}`, which is not {what} of this file; {}", remedy(nearest.as_deref(), known))]
    UnknownName {
        /// What is looked for, with its article.
        what: &'static str,
        /// The name as written.
        name: String,
        /// The known name that comes closest.
        nearest: Option<String>,
        /// All known names.
        known: Vec<String>,
    },
    /// Too few or too many entries.
    #[error("has {count} entries, outside {low} to {high}; {remedy}")]
    Count {
        /// How many there are.
        count: usize,
        /// The fewest allowed.
        low: usize,
        /// The most allowed.
        high: usize,
        /// What to do.
        remedy: &'static str,
    },
    /// A list that should rise and does not.
    #[error("has {value} after {before}; write values that {rule}")]
    NotRising {
        /// The value.
        value: f64,
        /// The one before it.
        before: f64,
        /// How they should rise.
        rule: &'static str,
    },
}

/// What to do about a name that nothing has.
#[must_use]
pub fn remedy(nearest: Option<&str>, known: &[String]) -> String {
    match (nearest, known) {
        (Some(nearest), _) => format!("did you mean `{nearest}`?"),
        (None, []) => "there is none, so leave it out".to_owned(),
        (None, known) => format!("use one of {}", quoted(known)),
    }
}

/// Names in backticks, separated by commas.
#[must_use]
pub fn quoted(names: &[String]) -> String {
    let names: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    names.join(", ")
}
