use std::collections::BTreeMap;

use super::table::Table;
use crate::{BLACK_FAMILY, Fault};

/// The print model mixes 2^8 primaries at most.
const MOST_FAMILIES: usize = 8;
/// Devices carry up to twelve channels; see the design of the separation.
const MOST_INKS: usize = 12;
/// Our choice: more than any list that people can choose from.
const MOST_CHOICES: usize = 100;

/// The word that makes an ink the full-strength one of its family.
pub(super) const FULL: &str = "full";

/// The names of a file and what they stand for, gathered before anything else is read, so that
/// every mention of a name can be checked where it stands.
pub(super) struct Outline<'t> {
    pub(super) inks: Vec<Table<'t>>,
    pub(super) substrates: Vec<Table<'t>>,
    pub(super) print_modes: Vec<Table<'t>>,
}

impl<'t> Outline<'t> {
    pub(super) fn gather(root: &Table<'t>) -> Self {
        let outline = Self {
            inks: list(root, "ink", "ink", MOST_INKS),
            substrates: list(root, "substrate", "substrate", MOST_CHOICES),
            print_modes: list(root, "print_mode", "print mode", MOST_CHOICES),
        };
        refuse_repeated_names(&outline.inks, "an ink");
        refuse_repeated_names(&outline.substrates, "a substrate");
        refuse_repeated_names(&outline.print_modes, "a print mode");
        outline.check_families();
        outline
    }

    pub(super) fn ink_names(&self) -> Vec<&'t str> {
        names(&self.inks)
    }

    pub(super) fn substrate_names(&self) -> Vec<&'t str> {
        names(&self.substrates)
    }

    /// Names of the families, each once, in the order of their first ink.
    pub(super) fn family_names(&self) -> Vec<&'t str> {
        let mut families = Vec::new();
        for family in self.inks.iter().filter_map(family) {
            if !families.contains(&family) {
                families.push(family);
            }
        }
        families
    }

    /// Names of the full-strength inks of the black family.
    pub(super) fn blacks(&self) -> Vec<&'t str> {
        let is_black = |ink: &&Table<'t>| is_full(ink) && family(ink) == Some(BLACK_FAMILY);
        let blacks = self.inks.iter().filter(is_black);
        blacks.filter_map(|ink| ink.peek("name")).collect()
    }

    pub(super) fn full_strength_names(&self) -> Vec<&'t str> {
        let full = self.inks.iter().filter(|ink| is_full(ink));
        full.filter_map(|ink| ink.peek("name")).collect()
    }

    fn check_families(&self) {
        for (family, number) in self.family_names().into_iter().zip(1..) {
            let inks: Vec<&Table<'t>> = self.inks_of(family).collect();
            if number > MOST_FAMILIES {
                let (count, most) = (number, MOST_FAMILIES);
                inks[0].fault("family", Fault::TooManyFamilies { count, most });
            }
            check_full_strength(family, &inks);
        }
    }

    fn inks_of(&self, name: &str) -> impl Iterator<Item = &Table<'t>> {
        let inks = self.inks.iter();
        inks.filter(move |ink| family(ink) == Some(name))
    }
}

/// A family has one full-strength ink; black may have several, of which a substrate uses one.
fn check_full_strength(family: &str, inks: &[&Table]) {
    let mut full = inks.iter().filter(|ink| is_full(ink));
    match (full.next(), full.next()) {
        (None, _) => {
            let family = family.to_owned();
            inks[0].fault("family", Fault::NoFullStrength { family });
        }
        (Some(first), Some(second)) if family != BLACK_FAMILY => {
            let (family, first_line) = (family.to_owned(), first.line());
            let fault = Fault::SecondFullStrength { family, first_line };
            second.fault("family", fault);
        }
        _ => {}
    }
}

fn list<'t>(root: &Table<'t>, key: &'static str, what: &str, most: usize) -> Vec<Table<'t>> {
    let remedy = format!("write at least one [[{key}]]");
    let Some(entry) = root.need(key, &remedy) else {
        return Vec::new();
    };
    let count = entry.length();
    if count.is_some_and(|count| !(1..=most).contains(&count)) {
        entry.fault(Fault::Count {
            count: count.unwrap_or_default(),
            low: 1,
            high: most,
            remedy: "add one, or split the set into several files",
        });
    }
    // Names are compared with one another, which would take long in an absurdly long list.
    let tables = entry.tables().into_iter().take(MOST_CHOICES);
    tables.map(|table| table.called_by_name(what)).collect()
}

fn refuse_repeated_names(tables: &[Table], what: &'static str) {
    let mut first_lines = BTreeMap::new();
    for table in tables {
        let Some(name) = table.peek("name") else {
            continue;
        };
        let first_line = *first_lines.entry(name).or_insert_with(|| table.line());
        if first_line != table.line() {
            let name = name.to_owned();
            let fault = Fault::Duplicate { what, name, first_line };
            table.fault("name", fault);
        }
    }
}

fn names<'t>(tables: &[Table<'t>]) -> Vec<&'t str> {
    let names = tables.iter().filter_map(|table| table.peek("name"));
    names.collect()
}

fn family<'t>(ink: &Table<'t>) -> Option<&'t str> {
    ink.peek("family")
}

fn is_full(ink: &Table) -> bool {
    ink.peek("strength") == Some(FULL)
}
