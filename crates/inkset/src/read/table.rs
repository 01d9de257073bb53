use std::ops::Range;

use toml::de::DeTable;
use units::UnitError;

use super::entry::Entry;
use super::log::Log;
use super::quantity::Quantity;
use crate::{Fault, Remark, nearest_name};

/// A table of the text, and whose it is.
#[derive(Clone)]
pub(super) struct Table<'t> {
    pub(super) log: &'t Log<'t>,
    entries: &'t DeTable<'t>,
    span: Range<usize>,
    /// "ink `cyan`"; empty for the text as a whole.
    owner: String,
}

impl<'t> Table<'t> {
    pub(super) const fn new(
        log: &'t Log<'t>,
        entries: &'t DeTable<'t>,
        span: Range<usize>,
        owner: String,
    ) -> Self {
        Self { log, entries, span, owner }
    }

    /// The same table, called by the name that it states, if it states one.
    pub(super) fn called_by_name(mut self, what: &str) -> Self {
        if let Some(name) = self.peek("name") {
            self.owner = format!("{what} `{name}`");
        }
        self
    }

    /// Refuses every key that is not one of these.
    pub(super) fn only(&self, keys: &[&str]) {
        for key in self.entries.keys() {
            let name: &str = key.get_ref();
            if !keys.contains(&name) {
                let fault = Fault::UnknownKey {
                    nearest: nearest_name(name, keys.iter().copied()).map(str::to_owned),
                    known: keys.iter().map(|&key| key.to_owned()).collect(),
                };
                self.log.fault(&self.label(name), &key.span(), fault);
            }
        }
    }

    pub(super) fn get(&self, key: &str) -> Option<Entry<'t>> {
        let value = self.entries.get(key)?;
        Some(Entry::new(self.log, self.label(key), value))
    }

    /// The text under a key, if it is one; says nothing otherwise.
    pub(super) fn peek(&self, key: &str) -> Option<&'t str> {
        self.entries.get(key)?.get_ref().as_str()
    }

    /// The entry, or a fault that it is missing.
    pub(super) fn need(&self, key: &str, remedy: &str) -> Option<Entry<'t>> {
        let entry = self.get(key);
        if entry.is_none() {
            self.missing(key, remedy.to_owned());
        }
        entry
    }

    /// A needed number with its range, turned into its type.
    pub(super) fn quantity<T>(
        &self,
        quantity: &Quantity,
        make: impl Fn(f64) -> Result<T, UnitError>,
    ) -> Option<T> {
        match self.get(quantity.key) {
            Some(entry) => entry.quantity(quantity, make),
            None => {
                self.missing(quantity.key, quantity.remedy_if_missing());
                None
            }
        }
    }

    /// As [`Table::quantity`], for a key that may be left out.
    pub(super) fn optional_quantity<T>(
        &self,
        quantity: &Quantity,
        make: impl Fn(f64) -> Result<T, UnitError>,
    ) -> Option<T> {
        self.get(quantity.key)?.quantity(quantity, make)
    }

    /// The entries under their names, in alphabetical order.
    pub(super) fn each(&self) -> impl Iterator<Item = (&'t str, Entry<'t>)> {
        self.entries.iter().map(|(key, value)| {
            let name: &'t str = key.get_ref();
            (name, Entry::new(self.log, self.label(name), value))
        })
    }

    /// Says that a key of this table is at fault, at the place of the table if it is missing.
    pub(super) fn fault(&self, key: &str, fault: Fault) {
        let span = self.entries.get(key).map(toml::Spanned::span);
        let span = span.unwrap_or_else(|| self.span.clone());
        self.log.fault(&self.label(key), &span, fault);
    }

    /// Says something about this table as a whole.
    pub(super) fn remark(&self, remark: Remark) {
        self.log.remark(&self.owner, &self.span, remark);
    }

    pub(super) fn line(&self) -> usize {
        self.log.line(&self.span)
    }

    fn missing(&self, key: &str, remedy: String) {
        self.fault(key, Fault::Missing { remedy });
    }

    fn label(&self, key: &str) -> String {
        if self.owner.is_empty() {
            format!("`{key}`")
        } else {
            format!("`{key}` of {}", self.owner)
        }
    }
}
