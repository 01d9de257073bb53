use std::ops::Range;

use rust_decimal::Decimal;
use toml::Spanned;
use toml::de::DeTable;
use units::UnitError;

use crate::log::Log;
use crate::{Entry, FormatFault, Quantity, nearest_name};

/// A table of the text, and whose it is.
pub struct Table<'t, F, R> {
    log: &'t Log<'t, F, R>,
    entries: &'t DeTable<'t>,
    span: Range<usize>,
    /// "ink `cyan`"; empty for the text as a whole.
    owner: String,
}

// Derived, it would ask that faults can be cloned.
impl<F, R> Clone for Table<'_, F, R> {
    fn clone(&self) -> Self {
        Self {
            log: self.log,
            entries: self.entries,
            span: self.span.clone(),
            owner: self.owner.clone(),
        }
    }
}

impl<'t, F: From<FormatFault>, R> Table<'t, F, R> {
    pub(crate) fn root(log: &'t Log<'t, F, R>, document: &'t Spanned<DeTable<'t>>) -> Self {
        Self::new(log, document.get_ref(), document.span(), String::new())
    }

    pub(crate) const fn new(
        log: &'t Log<'t, F, R>,
        entries: &'t DeTable<'t>,
        span: Range<usize>,
        owner: String,
    ) -> Self {
        Self { log, entries, span, owner }
    }

    /// The same table, called by the name that it states, if it states one.
    #[must_use]
    pub fn called_by_name(mut self, what: &str) -> Self {
        if let Some(name) = self.peek("name") {
            self.owner = format!("{what} `{name}`");
        }
        self
    }

    /// Refuses every key that is not one of these.
    pub fn only(&self, keys: &[&str]) {
        for key in self.entries.keys() {
            let name: &str = key.get_ref();
            if !keys.contains(&name) {
                let fault = FormatFault::UnknownKey {
                    nearest: nearest_name(name, keys.iter().copied()).map(str::to_owned),
                    known: keys.iter().map(|&key| key.to_owned()).collect(),
                };
                self.log.fault(&self.label(name), &key.span(), fault);
            }
        }
    }

    /// The entry under a key, if there is one.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<Entry<'t, F, R>> {
        let value = self.entries.get(key)?;
        Some(Entry::new(self.log, self.label(key), value))
    }

    /// The text under a key, if it is one; says nothing otherwise.
    #[must_use]
    pub fn peek(&self, key: &str) -> Option<&'t str> {
        self.entries.get(key)?.get_ref().as_str()
    }

    /// The entry, or a fault that it is missing.
    pub fn need(&self, key: &str, remedy: &str) -> Option<Entry<'t, F, R>> {
        let entry = self.get(key);
        if entry.is_none() {
            self.missing(key, remedy.to_owned());
        }
        entry
    }

    /// A needed number with its range, turned into its type.
    pub fn quantity<T>(
        &self,
        quantity: &Quantity,
        make: impl Fn(f64) -> Result<T, UnitError>,
    ) -> Option<T> {
        self.need_quantity(quantity)?.quantity(quantity, make)
    }

    /// A needed decimal number in its range, exactly as written.
    #[must_use]
    pub fn decimal(&self, quantity: &Quantity) -> Option<Decimal> {
        self.need_quantity(quantity)?.decimal(quantity)
    }

    /// A needed whole number in its range.
    #[must_use]
    pub fn whole(&self, quantity: &Quantity) -> Option<u32> {
        self.need_quantity(quantity)?.whole(quantity)
    }

    fn need_quantity(&self, quantity: &Quantity) -> Option<Entry<'t, F, R>> {
        self.need(quantity.key(), &quantity.remedy_if_missing())
    }

    /// As [`Table::quantity`], for a key that may be left out.
    pub fn optional_quantity<T>(
        &self,
        quantity: &Quantity,
        make: impl Fn(f64) -> Result<T, UnitError>,
    ) -> Option<T> {
        self.get(quantity.key())?.quantity(quantity, make)
    }

    /// The entries under their names, in alphabetical order.
    pub fn each(&self) -> impl Iterator<Item = (&'t str, Entry<'t, F, R>)> {
        self.entries.iter().map(|(key, value)| {
            let name: &'t str = key.get_ref();
            (name, Entry::new(self.log, self.label(name), value))
        })
    }

    /// Says that a key of this table is at fault, at the place of the table if it is missing.
    pub fn fault(&self, key: &str, fault: impl Into<F>) {
        let span = self.entries.get(key).map(Spanned::span);
        let span = span.unwrap_or_else(|| self.span.clone());
        self.log.fault(&self.label(key), &span, fault);
    }

    /// Says that this table as a whole is at fault.
    pub fn fault_of_table(&self, fault: impl Into<F>) {
        self.log.fault(&self.owner, &self.span, fault);
    }

    /// Says something about this table as a whole.
    pub fn remark(&self, remark: R) {
        self.log.remark(&self.owner, &self.span, remark);
    }

    /// The line where the table begins, counted from 1.
    #[must_use]
    pub fn line(&self) -> usize {
        self.log.line(&self.span)
    }

    fn missing(&self, key: &str, remedy: String) {
        self.fault(key, FormatFault::Missing { remedy });
    }

    fn label(&self, key: &str) -> String {
        if self.owner.is_empty() {
            format!("`{key}`")
        } else {
            format!("`{key}` of {}", self.owner)
        }
    }
}
