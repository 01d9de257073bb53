use strict_toml::{Prices, percent};
use units::{Length, Share, Volume};

use super::Table;
use super::quantity::{CLEANING, CLEANINGS, HEAD_LIFE, HEADS, IDLE, RESIDUAL, START_UP, WIDEST};
use crate::{Heads, MachineFacts};

pub(super) const MACHINE_KEYS: [&str; 11] = [
    "widest_sheet_cm",
    "price",
    "idle_ml_per_day",
    "cleaning_ml",
    "start_up_ml",
    "residual_percent",
    "cleanings_per_month",
    "heads",
    "head_price",
    "head_life_months",
    "maintenance_per_year",
];
/// The keys that hold prices.
pub(super) const MACHINE_PRICES: [&str; 3] = ["price", "head_price", "maintenance_per_year"];
const HEAD_KEYS: [&str; 3] = ["heads", "head_price", "head_life_months"];

pub(super) fn read_machine(table: &Table, prices: &Prices) -> MachineFacts {
    table.only(&MACHINE_KEYS);
    let has_heads = HEAD_KEYS.iter().any(|key| table.get(key).is_some());
    MachineFacts {
        widest: table.optional_quantity(&WIDEST, |cm| Length::from_millimetres(cm * 10.0)),
        price: prices.price(table, "price"),
        idle_per_day: table.optional_quantity(&IDLE, Volume::from_millilitres),
        cleaning: table.optional_quantity(&CLEANING, Volume::from_millilitres),
        start_up: table.optional_quantity(&START_UP, Volume::from_millilitres),
        residual_ink: table.optional_quantity(&RESIDUAL, percent(Share::from_fraction)),
        cleanings_per_month: table.get(CLEANINGS.key()).and_then(|entry| entry.whole(&CLEANINGS)),
        heads: has_heads.then(|| heads(table, prices)).flatten(),
        maintenance_per_year: prices.price(table, "maintenance_per_year"),
    }
}

/// All that is to be known of heads, or nothing.
fn heads(table: &Table, prices: &Prices) -> Option<Heads> {
    let count = table.whole(&HEADS);
    let price = prices.needed(table, "head_price", "write the price of one head");
    let life_months = table.whole(&HEAD_LIFE);
    Some(Heads { count: count?, price: price?, life_months: life_months? })
}
