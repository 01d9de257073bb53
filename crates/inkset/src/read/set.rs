use strict_toml::Prices;

use super::check::check_together;
use super::ink::{provenance, read_ink};
use super::machine::{MACHINE_PRICES, read_machine};
use super::outline::Outline;
use super::print_mode::read_print_mode;
use super::separation::read_separation;
use super::substrate::read_substrate;
use super::{Entry, Table};
use crate::{InkSet, MachineFacts, PrintMode};

pub(super) const SET_KEYS: [&str; 9] = [
    "name",
    "title",
    "provenance",
    "currency",
    "ink",
    "substrate",
    "print_mode",
    "separation",
    "machine",
];

/// Reads a whole document; whatever stands against it is in the log, even where there is a set.
pub(crate) fn read_set(root: &Table) -> Option<InkSet> {
    root.only(&SET_KEYS);
    let outline = Outline::gather(root);
    let prices = Prices::read(root);
    prices.need_currency(root, first_price(root, &outline).as_ref());
    let name = root
        .need("name", "write the name by which the set is called")
        .and_then(|entry| entry.name());
    let title = root.need("title", "write one line for people").and_then(|entry| entry.title());
    let provenance = provenance(root);
    let inks = read_all(&outline.inks, |ink| read_ink(ink, &outline, &prices, provenance));
    let substrates =
        read_all(&outline.substrates, |substrate| read_substrate(substrate, &outline, provenance));
    let print_modes = print_modes(root, &outline);
    let separation = root
        .need("separation", "write [separation]")
        .and_then(|entry| entry.table())
        .and_then(|table| read_separation(&table, &outline));
    let machine = machine(root, &prices);
    let set = InkSet {
        name: name?,
        title: title?,
        provenance: provenance?,
        inks: inks?,
        substrates: substrates?,
        print_modes: print_modes?,
        separation: separation?,
        machine,
    };
    check_together(&set, &outline);
    Some(set)
}

fn print_modes(root: &Table, outline: &Outline) -> Option<Vec<PrintMode>> {
    let separation = root.get("separation").and_then(|entry| entry.as_quiet_table());
    let takes_device_values = separation.is_some_and(|table| table.get("output_profile").is_some());
    read_all(&outline.print_modes, |mode| read_print_mode(mode, outline, takes_device_values))
}

fn machine(root: &Table, prices: &Prices) -> MachineFacts {
    let table = root.get("machine").and_then(|entry| entry.table());
    table.map_or_else(MachineFacts::default, |table| read_machine(&table, prices))
}

fn first_price<'t>(root: &Table<'t>, outline: &Outline<'t>) -> Option<Entry<'t>> {
    let cartridges = outline.inks.iter();
    let mut prices = cartridges.filter_map(|ink| ink.get("cartridge_price"));
    prices.next().or_else(|| {
        let machine = root.get("machine")?.as_quiet_table()?;
        MACHINE_PRICES.iter().find_map(|key| machine.get(key))
    })
}

/// Reads every table before the first refusal counts, so that all faults are reported.
fn read_all<'t, T>(
    tables: &[Table<'t>],
    read: impl FnMut(&Table<'t>) -> Option<T>,
) -> Option<Vec<T>> {
    let all: Vec<Option<T>> = tables.iter().map(read).collect();
    all.into_iter().collect()
}
