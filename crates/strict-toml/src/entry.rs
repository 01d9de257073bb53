use std::collections::BTreeMap;

use rust_decimal::Decimal;
use toml::Spanned;
use toml::de::{DeTable, DeValue};
use units::UnitError;

use crate::log::Log;
use crate::{FormatFault, Quantity, Table, nearest_name};

/// The longest name that fits a column of a report; our choice.
const LONGEST_NAME: usize = 60;
/// The longest title that fits a line of a report; our choice.
const LONGEST_TITLE: usize = 100;

/// One value of the text, and what it is called.
pub struct Entry<'t, F, R> {
    log: &'t Log<'t, F, R>,
    /// "`limit_percent` of ink `cyan`".
    label: String,
    value: &'t Spanned<DeValue<'t>>,
}

// Derived, it would ask that faults can be cloned.
impl<F, R> Clone for Entry<'_, F, R> {
    fn clone(&self) -> Self {
        Self { log: self.log, label: self.label.clone(), value: self.value }
    }
}

impl<'t, F: From<FormatFault>, R> Entry<'t, F, R> {
    pub(crate) const fn new(
        log: &'t Log<'t, F, R>,
        label: String,
        value: &'t Spanned<DeValue<'t>>,
    ) -> Self {
        Self { log, label, value }
    }

    /// Says that this value is at fault.
    pub fn fault(&self, fault: impl Into<F>) {
        self.log.fault(&self.label, &self.value.span(), fault);
    }

    /// Says something about this value.
    pub fn remark(&self, remark: R) {
        self.log.remark(&self.label, &self.value.span(), remark);
    }

    /// Checks the length of this list against the list `of` that it belongs to.
    pub fn has_length(&self, count: usize, wanted: usize, of: &'static str) -> Option<()> {
        if count != wanted {
            self.fault(FormatFault::Length { count, wanted, of });
        }
        (count == wanted).then_some(())
    }

    /// The line of the value, counted from 1.
    #[must_use]
    pub fn line(&self) -> usize {
        self.log.line(&self.value.span())
    }

    /// The value as a text.
    #[must_use]
    pub fn text(&self) -> Option<&'t str> {
        match self.value.get_ref() {
            DeValue::String(text) => Some(text),
            _ => self.wrong_kind("a text in quotes"),
        }
    }

    /// A text that fits a column of a report.
    #[must_use]
    pub fn name(&self) -> Option<String> {
        self.printable(LONGEST_NAME)
    }

    /// A text that fits a line of a report.
    #[must_use]
    pub fn title(&self) -> Option<String> {
        self.printable(LONGEST_TITLE)
    }

    fn printable(&self, most: usize) -> Option<String> {
        let text = self.text()?;
        let length = text.chars().count();
        let is_plain = !text.chars().any(char::is_control);
        let fits = !text.trim().is_empty() && length <= most && is_plain;
        if !fits {
            self.fault(FormatFault::UnfitName { length, most });
        }
        fits.then(|| text.to_owned())
    }

    /// A name that stands elsewhere in the file; `what` with its article.
    #[must_use]
    pub fn name_of(&self, what: &'static str, known: &[&str]) -> Option<String> {
        let name = self.text()?;
        self.is_known(name, what, known).then(|| name.to_owned())
    }

    /// Whether a name stands elsewhere in the file; a fault at this place if not.
    pub fn is_known(&self, name: &str, what: &'static str, known: &[&str]) -> bool {
        let is_known = known.contains(&name);
        if !is_known {
            self.fault(FormatFault::UnknownName {
                what,
                name: name.to_owned(),
                nearest: nearest_name(name, known.iter().copied()).map(str::to_owned),
                known: known.iter().map(|&name| name.to_owned()).collect(),
            });
        }
        is_known
    }

    /// The value as a truth value.
    #[must_use]
    pub fn truth(&self) -> Option<bool> {
        match self.value.get_ref() {
            DeValue::Boolean(truth) => Some(*truth),
            _ => self.wrong_kind("true or false"),
        }
    }

    /// One of a few words.
    #[must_use]
    pub fn word<T: Copy>(&self, words: &[(&str, T)]) -> Option<T> {
        let text = self.text()?;
        let meant = words.iter().find(|(word, _)| *word == text);
        if meant.is_none() {
            let word = text.to_owned();
            let allowed = words.iter().map(|(word, _)| (*word).to_owned()).collect();
            self.fault(FormatFault::UnknownWord { word, allowed });
        }
        meant.map(|&(_, meaning)| meaning)
    }

    /// The digits of a decimal number as written.
    #[must_use]
    pub fn digits(&self) -> Option<&'t str> {
        match self.value.get_ref() {
            DeValue::Integer(number) if number.radix() == 10 => Some(number.as_str()),
            DeValue::Float(number) => Some(number.as_str()),
            _ => self.wrong_kind("a decimal number"),
        }
    }

    /// The value as a number in its range.
    #[must_use]
    pub fn number(&self, quantity: &Quantity) -> Option<f64> {
        let digits = self.digits()?;
        let number = digits.parse().unwrap_or(f64::NAN);
        let is_inside = quantity.contains(number);
        if !is_inside {
            self.fault(quantity.out_of_range(digits));
        }
        is_inside.then_some(number)
    }

    /// The value as a decimal number in its range, exactly as written.
    #[must_use]
    pub fn decimal(&self, quantity: &Quantity) -> Option<Decimal> {
        self.number(quantity)?;
        let digits = self.digits()?;
        let decimal = digits.parse().ok();
        if decimal.is_none() {
            let digits = digits.to_owned();
            self.fault(FormatFault::UnfitDecimal { digits });
        }
        decimal
    }

    /// The value as a whole number in its range.
    #[must_use]
    pub fn whole(&self, quantity: &Quantity) -> Option<u32> {
        self.number(quantity)?;
        let digits = self.digits()?;
        let whole = digits.replace('_', "").parse().ok();
        if whole.is_none() {
            self.fault(quantity.not_whole(digits));
        }
        whole
    }

    /// A number with its range, turned into its type.
    pub fn quantity<T>(
        &self,
        quantity: &Quantity,
        make: impl Fn(f64) -> Result<T, UnitError>,
    ) -> Option<T> {
        let made = make(self.number(quantity)?);
        made.map_err(|refusal| self.fault(FormatFault::Quantity(refusal))).ok()
    }

    /// A list of such numbers.
    pub fn quantities<T>(
        &self,
        quantity: &Quantity,
        make: impl Fn(f64) -> Result<T, UnitError>,
    ) -> Option<Vec<T>> {
        every(&self.elements()?, |element| element.quantity(quantity, &make))
    }

    /// A table from names to numbers.
    pub fn named_quantities<T>(
        &self,
        quantity: &Quantity,
        make: impl Fn(f64) -> Result<T, UnitError>,
    ) -> BTreeMap<String, T> {
        let table = self.table();
        let entries = table.iter().flat_map(Table::each);
        entries
            .filter_map(|(name, entry)| Some((name.to_owned(), entry.quantity(quantity, &make)?)))
            .collect()
    }

    /// As [`Entry::named_quantities`], with names that stand elsewhere in the file.
    pub fn known_quantities<T>(
        &self,
        quantity: &Quantity,
        what: &'static str,
        known: &[&str],
        make: impl Fn(f64) -> Result<T, UnitError>,
    ) -> BTreeMap<String, T> {
        for (name, entry) in self.table().iter().flat_map(Table::each) {
            entry.is_known(name, what, known);
        }
        self.named_quantities(quantity, make)
    }

    /// The values of a list, each called by its number.
    #[must_use]
    pub fn elements(&self) -> Option<Vec<Entry<'t, F, R>>> {
        let DeValue::Array(values) = self.value.get_ref() else {
            return self.wrong_kind("a list in square brackets");
        };
        let elements = values.iter().zip(1_usize..);
        let element = |(value, number)| {
            let label = format!("entry {number} of {}", self.label);
            Entry::new(self.log, label, value)
        };
        Some(elements.map(element).collect())
    }

    /// The value as a table.
    #[must_use]
    pub fn table(&self) -> Option<Table<'t, F, R>> {
        match self.as_table() {
            Some(entries) => {
                Some(Table::new(self.log, entries, self.value.span(), self.label.clone()))
            }
            None => self.wrong_kind("a table"),
        }
    }

    /// The tables of a list, each called by its number.
    #[must_use]
    pub fn tables(&self) -> Vec<Table<'t, F, R>> {
        let elements = self.elements().unwrap_or_default();
        elements.iter().filter_map(Entry::table).collect()
    }

    /// The table without a fault where there is none: for looking ahead.
    #[must_use]
    pub fn as_quiet_table(&self) -> Option<Table<'t, F, R>> {
        self.is_table().then(|| self.table()).flatten()
    }

    /// Whether the value is a table.
    #[must_use]
    pub fn is_table(&self) -> bool {
        self.as_table().is_some()
    }

    /// Whether the value is a text.
    #[must_use]
    pub fn is_text(&self) -> bool {
        matches!(self.value.get_ref(), DeValue::String(_))
    }

    /// The length of a list; `None` for another kind of value.
    #[must_use]
    pub fn length(&self) -> Option<usize> {
        match self.value.get_ref() {
            DeValue::Array(values) => Some(values.len()),
            _ => None,
        }
    }

    fn as_table(&self) -> Option<&'t DeTable<'t>> {
        match self.value.get_ref() {
            DeValue::Table(entries) => Some(entries),
            _ => None,
        }
    }

    fn wrong_kind<T>(&self, wanted: &'static str) -> Option<T> {
        let found = match self.value.get_ref() {
            DeValue::String(_) => "a text",
            DeValue::Integer(_) => "an integer",
            DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "a truth value",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        self.fault(FormatFault::WrongKind { found, wanted });
        None
    }
}

/// Reads every element before the first refusal counts, so that all faults are reported.
pub fn every<'t, T, F, R>(
    elements: &[Entry<'t, F, R>],
    read: impl FnMut(&Entry<'t, F, R>) -> Option<T>,
) -> Option<Vec<T>> {
    let all: Vec<Option<T>> = elements.iter().map(read).collect();
    all.into_iter().collect()
}
