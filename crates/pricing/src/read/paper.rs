use strict_toml::{Prices, every};
use units::{Length, Money};

use super::Table;
use super::quantity::ROLL_WIDTH;
use crate::{Fault, LayoutRules, Paper, PaperPrice, Roll};

pub(super) const PAPER_KEYS: [&str; 4] = ["name", "substrates", "price_per_m2", "roll"];
pub(super) const ROLL_KEYS: [&str; 2] = ["width_cm", "price_per_running_m"];

/// Our choice: more widths than any paper comes in.
const MOST_ROLLS: usize = 50;

pub(super) fn read_paper(
    table: &Table,
    prices: &Prices,
    layout: Option<&LayoutRules>,
) -> Option<Paper> {
    table.only(&PAPER_KEYS);
    let name = table.need("name", "write a name").and_then(|entry| entry.name());
    let substrates = match table.get("substrates") {
        Some(entry) => every(&entry.elements()?, |element| element.name())?,
        None => Vec::new(),
    };
    let per_area = table.get("price_per_m2").is_some();
    let area_price = prices.price(table, "price_per_m2");
    let remedy = "write the widths that the paper comes in";
    let rolls = table.list("roll", "roll", MOST_ROLLS, remedy);
    let rolls = rolls.iter().map(|table| {
        let width = table.quantity(&ROLL_WIDTH, |cm| Length::from_millimetres(cm * 10.0));
        table.only(&ROLL_KEYS);
        if let (Some(width), Some(layout)) = (width, layout) {
            leaves_room(table, width, layout.side_margin);
        }
        let price = roll_price(table, prices, per_area, area_price);
        Some(Roll { width: width?, price: price? })
    });
    let rolls: Vec<Option<Roll>> = rolls.collect();
    let rolls = rolls.into_iter().collect::<Option<Vec<Roll>>>();
    Some(Paper { name: name?, substrates, rolls: rolls? })
}

fn roll_price(
    table: &Table,
    prices: &Prices,
    per_area: bool,
    area_price: Option<Money>,
) -> Option<PaperPrice> {
    let key = "price_per_running_m";
    let found = match (per_area, table.get(key).is_some()) {
        (true, false) => return area_price.map(PaperPrice::SquareMetre),
        (false, true) => return prices.price(table, key).map(PaperPrice::RunningMetre),
        (true, true) => "a price beside the price_per_m2 of its paper",
        (false, false) => "no price",
    };
    table.fault_of_table(Fault::PaperPrice { found });
    None
}

fn leaves_room(table: &Table, width: Length, side_margin: Length) {
    if width.to_millimetres() <= 2.0 * side_margin.to_millimetres() {
        let (width, margin) = (width.to_millimetres() / 10.0, side_margin.to_millimetres());
        table.fault(ROLL_WIDTH.key(), Fault::NothingBetweenMargins { width, margin });
    }
}
