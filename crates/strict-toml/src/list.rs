use std::collections::BTreeMap;

use crate::{FormatFault, Table};

/// The most tables of a list that are read. Names are compared with one another, which would take
/// long in an absurdly long list; our choice.
const MOST_TABLES: usize = 100;

impl<'t, F: From<FormatFault>, R> Table<'t, F, R> {
    /// The tables of a needed list, each called `what` and its name: one at least, `most` at most.
    #[must_use]
    pub fn list(&self, key: &str, what: &str, most: usize, remedy: &'static str) -> Vec<Self> {
        let missing = format!("write at least one [[{key}]]");
        let Some(entry) = self.need(key, &missing) else {
            return Vec::new();
        };
        let count = entry.length();
        if count.is_some_and(|count| !(1..=most).contains(&count)) {
            let count = count.unwrap_or_default();
            entry.fault(FormatFault::Count { count, low: 1, high: most, remedy });
        }
        let tables = entry.tables().into_iter().take(MOST_TABLES);
        tables.map(|table| table.called_by_name(what)).collect()
    }
}

/// Refuses tables that state the name of an earlier one; `what` with its article.
pub fn refuse_repeated_names<F: From<FormatFault>, R>(
    tables: &[Table<'_, F, R>],
    what: &'static str,
) {
    let mut first_lines = BTreeMap::new();
    for table in tables {
        let Some(name) = table.peek("name") else {
            continue;
        };
        let first_line = *first_lines.entry(name).or_insert_with(|| table.line());
        if first_line != table.line() {
            let name = name.to_owned();
            let fault = FormatFault::Duplicate { what, name, first_line };
            table.fault("name", fault);
        }
    }
}

/// The names that tables state.
#[must_use]
pub fn names<'t, F: From<FormatFault>, R>(tables: &[Table<'t, F, R>]) -> Vec<&'t str> {
    let names = tables.iter().filter_map(|table| table.peek("name"));
    names.collect()
}
