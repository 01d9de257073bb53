use strict_toml::{Prices, percent};
use units::{Length, Share, Volume};

use super::Table;
use super::quantity::{CLEANING, IDLE, RESIDUAL, START_UP, WIDEST};
use crate::MachineFacts;

pub(super) const MACHINE_KEYS: [&str; 6] = [
    "widest_sheet_cm",
    "price",
    "idle_ml_per_day",
    "cleaning_ml",
    "start_up_ml",
    "residual_percent",
];

pub(super) fn read_machine(table: &Table, prices: &Prices) -> MachineFacts {
    table.only(&MACHINE_KEYS);
    MachineFacts {
        widest: table.optional_quantity(&WIDEST, |cm| Length::from_millimetres(cm * 10.0)),
        price: prices.price(table, "price"),
        idle_per_day: table.optional_quantity(&IDLE, Volume::from_millilitres),
        cleaning: table.optional_quantity(&CLEANING, Volume::from_millilitres),
        start_up: table.optional_quantity(&START_UP, Volume::from_millilitres),
        residual_ink: table.optional_quantity(&RESIDUAL, percent(Share::from_fraction)),
    }
}
