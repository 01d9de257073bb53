use iso_currency::Currency;
use strict_toml::{Prices, refuse_repeated_names};
use units::{Length, Volume};

use super::ink::read_ink;
use super::paper::read_paper;
use super::profit::{read_breaks, read_profit, read_tax};
use super::quantity::{
    CLEANING, CLEANINGS, EDGE, GAP, OVERSPRAY, SIDE_MARGIN, SPOILAGE, START_UP, TRIM,
};
use super::work::read_work;
use super::{Entry, Table};
use crate::rounding::minor_unit_decimals;
use crate::{Fault, LayoutRules, ListProvenance, OverheadInk, Percent, PriceList};

pub(super) const LIST_KEYS: [&str; 15] = [
    "name",
    "title",
    "provenance",
    "currency",
    "spoilage_percent",
    "minimum_charge",
    "ink",
    "paper",
    "layout",
    "labour",
    "machine_time",
    "overhead_ink",
    "profit",
    "tax",
    "quantity_break",
];
pub(super) const LAYOUT_KEYS: [&str; 6] =
    ["gap_mm", "trim_mm", "side_margin_mm", "edge_mm", "overspray_mm", "rotation"];
pub(super) const OVERHEAD_KEYS: [&str; 3] =
    ["start_up_ml", "cleaning_ml", "cleanings_per_order_percent"];

const PROVENANCES: [(&str, ListProvenance); 2] =
    [("own", ListProvenance::Own), ("invented", ListProvenance::Invented)];

/// Our choice: more than any list that people can choose from.
const MOST_ENTRIES: usize = 100;
const REMEDY: &str = "add one, or split the list into several files";

/// Reads a whole document; whatever stands against it is in the log, even where there is a list.
pub(crate) fn read_list(root: &Table) -> Option<PriceList> {
    root.only(&LIST_KEYS);
    let prices = Prices::read(root);
    let currency = currency(root, &prices);
    let heading = heading(root);
    let layout = part(root, "layout", read_layout);
    let inks = all(&root.list("ink", "ink", MOST_ENTRIES, REMEDY), |it| read_ink(it, &prices));
    let papers = root.list("paper", "paper", MOST_ENTRIES, REMEDY);
    refuse_repeated_names(&papers, "a paper");
    let papers = all(&papers, |paper| read_paper(paper, &prices, layout.as_ref()));
    let labour = part(root, "labour", |table| read_work(table, &prices));
    let machine_time = part(root, "machine_time", |table| read_work(table, &prices));
    let overhead_ink = part(root, "overhead_ink", read_overhead_ink);
    let profit = part(root, "profit", read_profit);
    let spoilage = root.decimal(&SPOILAGE).map(Percent::new);
    let tax = root.get("tax").and_then(|entry| entry.table()).and_then(|table| read_tax(&table));
    let minimum_charge = prices.price(root, "minimum_charge");
    let breaks = root.get("quantity_break").map(|entry| entry.tables()).unwrap_or_default();
    let breaks = read_breaks(&breaks);
    let (name, title, provenance) = heading?;
    Some(PriceList {
        name,
        title,
        provenance,
        currency: currency?,
        inks: inks?,
        papers: papers?,
        layout: layout?,
        labour: labour?,
        machine_time: machine_time?,
        overhead_ink: overhead_ink?,
        spoilage: spoilage?,
        profit: profit?,
        tax,
        minimum_charge,
        breaks: breaks?,
    })
}

fn heading(root: &Table) -> Option<(String, String, ListProvenance)> {
    let name = root.need("name", "write the name by which the list is called");
    let name = name.and_then(|entry| entry.name());
    let title = root.need("title", "write one line for people").and_then(|entry| entry.title());
    let remedy = "write \"own\" or \"invented\"";
    let provenance = root.need("provenance", remedy).and_then(|entry| entry.word(&PROVENANCES));
    Some((name?, title?, provenance?))
}

fn currency(root: &Table, prices: &Prices) -> Option<Currency> {
    root.need("currency", "write the code of ISO 4217, for example EUR")?;
    let currency = prices.currency()?;
    if minor_unit_decimals(currency).is_none() {
        root.fault("currency", Fault::NoMinorUnit { code: currency.code() });
    }
    Some(currency)
}

fn part<T>(root: &Table, key: &str, read: impl FnOnce(&Table) -> Option<T>) -> Option<T> {
    let entry: Entry = root.need(key, &format!("write [{key}]"))?;
    read(&entry.table()?)
}

/// Reads every table before the first refusal counts, so that all faults are reported.
fn all<'t, T>(tables: &[Table<'t>], read: impl FnMut(&Table<'t>) -> Option<T>) -> Option<Vec<T>> {
    let all: Vec<Option<T>> = tables.iter().map(read).collect();
    all.into_iter().collect()
}

fn read_layout(table: &Table) -> Option<LayoutRules> {
    table.only(&LAYOUT_KEYS);
    let [gap, trim, side_margin, edge, overspray] = [GAP, TRIM, SIDE_MARGIN, EDGE, OVERSPRAY]
        .map(|quantity| table.quantity(&quantity, Length::from_millimetres));
    let rotation = table
        .need("rotation", "write \"allowed\" or \"never\"")
        .and_then(|entry| entry.word(&[("allowed", true), ("never", false)]));
    Some(LayoutRules {
        gap: gap?,
        trim: trim?,
        side_margin: side_margin?,
        edge: edge?,
        overspray: overspray?,
        rotation: rotation?,
    })
}

fn read_overhead_ink(table: &Table) -> Option<OverheadInk> {
    table.only(&OVERHEAD_KEYS);
    let cleanings_per_order = table.decimal(&CLEANINGS).map(Percent::new);
    Some(OverheadInk {
        start_up: table.optional_quantity(&START_UP, Volume::from_millilitres),
        cleaning: table.optional_quantity(&CLEANING, Volume::from_millilitres),
        cleanings_per_order: cleanings_per_order?,
    })
}
