use crate::FormatFault;

/// A number of a schema: its key, its range and what it means.
#[derive(Clone, Copy, Debug)]
pub struct Quantity {
    key: &'static str,
    low: f64,
    high: f64,
    /// With a space before it.
    unit: &'static str,
    remedy: &'static str,
}

impl Quantity {
    /// A number from `low` to `high`; `unit` with a space before it where it needs one.
    #[must_use]
    pub const fn new(
        key: &'static str,
        [low, high]: [f64; 2],
        unit: &'static str,
        remedy: &'static str,
    ) -> Self {
        Self { key, low, high, unit, remedy }
    }

    /// The key under which it stands.
    #[must_use]
    pub const fn key(&self) -> &'static str {
        self.key
    }

    /// Whether a number lies in the range.
    #[must_use]
    pub fn contains(&self, number: f64) -> bool {
        (self.low..=self.high).contains(&number)
    }

    /// The fault of a number outside the range.
    #[must_use]
    pub fn out_of_range(&self, digits: &str) -> FormatFault {
        FormatFault::OutOfRange {
            value: digits.to_owned(),
            low: self.low,
            high: self.high,
            unit: self.unit,
            remedy: self.remedy,
        }
    }

    pub(crate) fn not_whole(&self, digits: &str) -> FormatFault {
        FormatFault::NotWhole { digits: digits.to_owned(), remedy: self.remedy }
    }

    pub(crate) fn remedy_if_missing(&self) -> String {
        let Self { low, high, unit, remedy, .. } = self;
        format!("{remedy}, {low} to {high}{unit}")
    }
}

/// Percentages are written in files, fractions are used inside.
pub fn percent<T, E>(make: impl Fn(f64) -> Result<T, E>) -> impl Fn(f64) -> Result<T, E> {
    move |percent| make(percent / 100.0)
}

/// Defines constants of [`Quantity`], one a line: `NAME = "key", low to high " unit", "remedy";`.
#[macro_export]
macro_rules! quantities {
    ($($(#[$doc:meta])* $name:ident = $key:literal, $low:literal to $high:literal $unit:literal, $remedy:literal;)+) => {
        $($(#[$doc])* pub(crate) const $name: $crate::Quantity =
            $crate::Quantity::new($key, [$low, $high], $unit, $remedy);)+
    };
}
