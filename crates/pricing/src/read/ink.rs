use strict_toml::{Prices, every, percent};
use units::{Share, Volume};

use super::Table;
use super::quantity::{CARTRIDGE, RESIDUAL};
use crate::{Fault, InkPrice, InkPriceRule};

pub(super) const INK_KEYS: [&str; 6] =
    ["ink_set", "inks", "cartridge_ml", "cartridge_price", "residual_percent", "price_per_litre"];

pub(super) fn read_ink(table: &Table, prices: &Prices) -> Option<InkPriceRule> {
    table.only(&INK_KEYS);
    let ink_set = match table.get("ink_set") {
        Some(entry) => Some(entry.name()?),
        None => None,
    };
    let inks = match table.get("inks") {
        Some(entry) => every(&entry.elements()?, |element| element.name())?,
        None => Vec::new(),
    };
    Some(InkPriceRule { ink_set, inks, price: price(table, prices)? })
}

fn price(table: &Table, prices: &Prices) -> Option<InkPrice> {
    let has = |key| table.get(key).is_some();
    let by_litre = has("price_per_litre");
    let by_cartridge = has("cartridge_ml") || has("cartridge_price") || has("residual_percent");
    match (by_litre, by_cartridge) {
        (true, false) => prices.price(table, "price_per_litre").map(InkPrice::Litre),
        (false, true) => cartridge(table, prices),
        (true, true) => refused(table, "a price per litre and a cartridge"),
        (false, false) => refused(table, "no price"),
    }
}

fn refused(table: &Table, found: &'static str) -> Option<InkPrice> {
    table.fault_of_table(Fault::InkPrice { found });
    None
}

fn cartridge(table: &Table, prices: &Prices) -> Option<InkPrice> {
    let size = table.quantity(&CARTRIDGE, Volume::from_millilitres);
    let price = prices.needed(table, "cartridge_price", "write what a cartridge costs");
    let residual = match table.get(RESIDUAL.key()) {
        Some(entry) => Some(entry.quantity(&RESIDUAL, percent(Share::from_fraction))?),
        None => None,
    };
    Some(InkPrice::Cartridge { size: size?, price: price?, residual })
}
