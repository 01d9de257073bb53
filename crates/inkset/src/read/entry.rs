use std::collections::BTreeMap;

use toml::Spanned;
use toml::de::{DeTable, DeValue};
use units::UnitError;

use super::log::Log;
use super::quantity::Quantity;
use super::table::Table;
use crate::{Fault, Remark, nearest_name};

/// The longest name that fits a column of a report; our choice.
const LONGEST_NAME: usize = 60;
/// The longest title that fits a line of a report; our choice.
const LONGEST_TITLE: usize = 100;

/// One value of the text, and what it is called.
#[derive(Clone)]
pub(super) struct Entry<'t> {
    pub(super) log: &'t Log<'t>,
    /// "`limit_percent` of ink `cyan`".
    label: String,
    value: &'t Spanned<DeValue<'t>>,
}

impl<'t> Entry<'t> {
    pub(super) const fn new(
        log: &'t Log<'t>,
        label: String,
        value: &'t Spanned<DeValue<'t>>,
    ) -> Self {
        Self { log, label, value }
    }

    pub(super) fn fault(&self, fault: Fault) {
        self.log.fault(&self.label, &self.value.span(), fault);
    }

    pub(super) fn remark(&self, remark: Remark) {
        self.log.remark(&self.label, &self.value.span(), remark);
    }

    /// Checks the length of this list against the list `of` that it belongs to.
    pub(super) fn has_length(&self, count: usize, wanted: usize, of: &'static str) -> Option<()> {
        if count != wanted {
            self.fault(Fault::Length { count, wanted, of });
        }
        (count == wanted).then_some(())
    }

    pub(super) fn line(&self) -> usize {
        self.log.line(&self.value.span())
    }

    pub(super) fn text(&self) -> Option<&'t str> {
        match self.value.get_ref() {
            DeValue::String(text) => Some(text),
            _ => self.wrong_kind("a text in quotes"),
        }
    }

    /// A text that fits a column of a report.
    pub(super) fn name(&self) -> Option<String> {
        self.printable(LONGEST_NAME)
    }

    /// A text that fits a line of a report.
    pub(super) fn title(&self) -> Option<String> {
        self.printable(LONGEST_TITLE)
    }

    fn printable(&self, most: usize) -> Option<String> {
        let text = self.text()?;
        let length = text.chars().count();
        let is_plain = !text.chars().any(char::is_control);
        let fits = !text.trim().is_empty() && length <= most && is_plain;
        if !fits {
            self.fault(Fault::UnfitName { length, most });
        }
        fits.then(|| text.to_owned())
    }

    /// A name that stands elsewhere in the file; `what` with its article.
    pub(super) fn name_of(&self, what: &'static str, known: &[&str]) -> Option<String> {
        let name = self.text()?;
        self.is_known(name, what, known).then(|| name.to_owned())
    }

    /// Whether a name stands elsewhere in the file; a fault at this place if not.
    pub(super) fn is_known(&self, name: &str, what: &'static str, known: &[&str]) -> bool {
        let is_known = known.contains(&name);
        if !is_known {
            self.fault(Fault::UnknownName {
                what,
                name: name.to_owned(),
                nearest: nearest_name(name, known.iter().copied()).map(str::to_owned),
                known: known.iter().map(|&name| name.to_owned()).collect(),
            });
        }
        is_known
    }

    /// One of a few words.
    pub(super) fn word<T: Copy>(&self, words: &[(&str, T)]) -> Option<T> {
        let text = self.text()?;
        let meant = words.iter().find(|(word, _)| *word == text);
        if meant.is_none() {
            let word = text.to_owned();
            let allowed = words.iter().map(|(word, _)| (*word).to_owned()).collect();
            self.fault(Fault::UnknownWord { word, allowed });
        }
        meant.map(|&(_, meaning)| meaning)
    }

    /// The digits of a decimal number as written.
    pub(super) fn digits(&self) -> Option<&'t str> {
        match self.value.get_ref() {
            DeValue::Integer(number) if number.radix() == 10 => Some(number.as_str()),
            DeValue::Float(number) => Some(number.as_str()),
            _ => self.wrong_kind("a decimal number"),
        }
    }

    pub(super) fn number(&self, quantity: &Quantity) -> Option<f64> {
        let digits = self.digits()?;
        let number = digits.parse().unwrap_or(f64::NAN);
        let is_inside = quantity.contains(number);
        if !is_inside {
            self.fault(quantity.out_of_range(digits));
        }
        is_inside.then_some(number)
    }

    /// A number with its range, turned into its type.
    pub(super) fn quantity<T>(
        &self,
        quantity: &Quantity,
        make: impl Fn(f64) -> Result<T, UnitError>,
    ) -> Option<T> {
        let made = make(self.number(quantity)?);
        made.map_err(|refusal| self.fault(Fault::Quantity(refusal))).ok()
    }

    pub(super) fn quantities<T>(
        &self,
        quantity: &Quantity,
        make: impl Fn(f64) -> Result<T, UnitError>,
    ) -> Option<Vec<T>> {
        every(&self.elements()?, |element| element.quantity(quantity, &make))
    }

    /// A table from names to numbers.
    pub(super) fn named_quantities<T>(
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
    pub(super) fn known_quantities<T>(
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
    pub(super) fn elements(&self) -> Option<Vec<Entry<'t>>> {
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

    pub(super) fn table(&self) -> Option<Table<'t>> {
        match self.as_table() {
            Some(entries) => {
                Some(Table::new(self.log, entries, self.value.span(), self.label.clone()))
            }
            None => self.wrong_kind("a table"),
        }
    }

    /// The tables of a list, each called by its number.
    pub(super) fn tables(&self) -> Vec<Table<'t>> {
        let elements = self.elements().unwrap_or_default();
        elements.iter().filter_map(Entry::table).collect()
    }

    /// The table without a fault where there is none: for looking ahead.
    pub(super) fn as_quiet_table(&self) -> Option<Table<'t>> {
        self.is_table().then(|| self.table()).flatten()
    }

    pub(super) fn is_table(&self) -> bool {
        self.as_table().is_some()
    }

    pub(super) fn is_text(&self) -> bool {
        matches!(self.value.get_ref(), DeValue::String(_))
    }

    /// The length of a list; `None` for another kind of value.
    pub(super) fn length(&self) -> Option<usize> {
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
        self.fault(Fault::WrongKind { found, wanted });
        None
    }
}

/// Reads every element before the first refusal counts, so that all faults are reported.
pub(super) fn every<'t, T>(
    elements: &[Entry<'t>],
    read: impl FnMut(&Entry<'t>) -> Option<T>,
) -> Option<Vec<T>> {
    let all: Vec<Option<T>> = elements.iter().map(read).collect();
    all.into_iter().collect()
}
