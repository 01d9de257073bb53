//! The JSON form of a quote, version 1. Names carry their units; money is written as exact decimal
//! numbers in texts, because numbers of JSON are read as binary fractions.

use serde::Serialize;

use crate::wire::Assumption;

/// Version of the form in this module.
pub const VERSION: u32 = 1;

/// A quote.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct QuoteDocument {
    /// Version of the form.
    pub version: u32,
    /// What the form holds: "quote".
    pub kind: &'static str,
    /// Name and version of the program.
    pub program: String,
    /// The disclaimer.
    pub disclaimer: &'static str,
    /// Code of ISO 4217 of every amount.
    pub currency: &'static str,
    /// Name of the price list.
    pub price_list: String,
    /// Name of the ink set.
    pub ink_set: String,
    /// Name of the substrate that the ink was estimated for.
    pub substrate: String,
    /// Name of the print mode.
    pub print_mode: String,
    /// Name of the paper.
    pub paper: String,
    /// The prints on the roll.
    pub roll: RollUse,
    /// The pictures.
    pub pictures: Vec<QuotedPicture>,
    /// The lines with their sums.
    pub lines: Vec<QuoteLine>,
    /// What the order costs the studio.
    pub cost: String,
    /// The price before tax.
    pub net: AmountRange,
    /// The price with tax.
    pub total: AmountRange,
    /// Ink of the pictures without edges.
    pub ink_ml: f64,
    /// Lower end of its 90 % range.
    pub ink_ml_low: f64,
    /// Upper end of its 90 % range.
    pub ink_ml_high: f64,
    /// All ink as a share of the cost, 0 to 1; null where nothing costs anything.
    pub ink_share_of_cost: Option<f64>,
    /// All ink as a share of the net price, 0 to 1; null where the price is nothing.
    pub ink_share_of_net: Option<f64>,
    /// Pictures that could not be priced.
    pub failed: Vec<FailedPicture>,
    /// What the quote rests on.
    pub assumptions: Vec<Assumption>,
}

/// The prints on a roll.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RollUse {
    /// Whole width of the roll.
    pub width_mm: f64,
    /// Length that is billed.
    pub billed_length_mm: f64,
    /// Area that is billed.
    pub billed_area_m2: f64,
    /// Area of the prints without edges.
    pub printed_area_m2: f64,
    /// Stretches of the roll, one after the other.
    pub blocks: Vec<RollBlock>,
}

/// A stretch of the roll.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RollBlock {
    /// Its length, with the gap behind it.
    pub length_mm: f64,
    /// How often it follows itself.
    pub repeats: u32,
    /// Its prints.
    pub prints: Vec<PlacedPrint>,
}

/// A print in its stretch, edges included.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlacedPrint {
    /// Which of the pictures, counted from 0.
    pub picture: usize,
    /// From the left side of the roll.
    pub across_mm: f64,
    /// From the start of the stretch.
    pub along_mm: f64,
    /// Extent across the roll.
    pub width_mm: f64,
    /// Extent along the roll.
    pub height_mm: f64,
    /// Whether it lies turned by a quarter.
    pub turned: bool,
}

/// One picture.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct QuotedPicture {
    /// The file as it was named.
    pub file: String,
    /// Printed width of a copy.
    pub width_mm: f64,
    /// Printed height of a copy.
    pub height_mm: f64,
    /// Number of prints.
    pub copies: u32,
    /// Area of all copies.
    pub area_m2: f64,
    /// Ink of all copies.
    pub ink_ml: f64,
    /// Lower end of its 90 % range.
    pub ink_ml_low: f64,
    /// Upper end of its 90 % range.
    pub ink_ml_high: f64,
    /// What that ink costs.
    pub ink_cost: String,
    /// Its part of the net price.
    pub net: String,
    /// Of one copy.
    pub net_per_copy: String,
    /// Of one square metre.
    pub net_per_m2: String,
}

/// A line.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct QuoteLine {
    /// "ink", "edge_ink", "start_up_ink", "cleaning_ink", "paper", "labour", "machine_time",
    /// "spoilage", "cost", "margin", "markup", "discount", "minimum_charge", "net", "tax" or
    /// "total".
    pub kind: &'static str,
    /// The line in words.
    pub label: String,
    /// Whether it repeats what the lines above add up to.
    pub is_sum: bool,
    /// What it was computed from, in words.
    pub basis: String,
    /// The amount; discounts are negative.
    pub amount: String,
}

/// An amount with the ends that follow from the ink's range.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AmountRange {
    /// With the least ink.
    pub low: String,
    /// With the expected ink.
    pub expected: String,
    /// With the most ink.
    pub high: String,
}

/// A picture that could not be priced.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FailedPicture {
    /// The file as it was named.
    pub file: String,
    /// Why, and what to do.
    pub error: String,
}
