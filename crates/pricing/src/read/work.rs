use strict_toml::Prices;

use super::Table;
use super::quantity::{PER_ORDER, PER_SQUARE_METRE};
use crate::{Minutes, WorkRate};

pub(super) const WORK_KEYS: [&str; 3] = ["price_per_hour", "minutes_per_order", "minutes_per_m2"];

pub(super) fn read_work(table: &Table, prices: &Prices) -> Option<WorkRate> {
    table.only(&WORK_KEYS);
    let hour = prices.needed(table, "price_per_hour", "write the price of an hour");
    let per_order = table.decimal(&PER_ORDER).map(Minutes::new);
    let per_square_metre = table.decimal(&PER_SQUARE_METRE).map(Minutes::new);
    Some(WorkRate { hour: hour?, per_order: per_order?, per_square_metre: per_square_metre? })
}
