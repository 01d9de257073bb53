//! Sets, lists and pictures of which a hand can compute everything.

use std::num::NonZeroU32;

use dosing::VolumeRange;
use inkfathom_pricing::{OrderedPicture, PriceList, PricingError};
use inkset::{InkSet, MachineFacts};
use units::{Length, Volume};

/// Prices with which every step comes out round: 700 ml at 210.00, of which 4 % stay in, is
/// 0.3125 a millilitre.
pub(crate) const LIST: &str = r#"
name = "worked"
title = "prices for working by hand"
provenance = "own"
currency = "EUR"
spoilage_percent = 5
minimum_charge = 10.00
[[ink]]
cartridge_ml = 700
cartridge_price = 210.00
residual_percent = 4
[[paper]]
name = "art paper"
substrates = ["matte art paper"]
price_per_m2 = 10.00
[[paper.roll]]
width_cm = 61.0
[layout]
gap_mm = 10
trim_mm = 20
side_margin_mm = 5
edge_mm = 5
overspray_mm = 0
rotation = "allowed"
[labour]
price_per_hour = 30.00
minutes_per_order = 6
minutes_per_m2 = 5
[machine_time]
price_per_hour = 12.00
minutes_per_order = 2
minutes_per_m2 = 10
[overhead_ink]
start_up_ml = 2
cleaning_ml = 8
cleanings_per_order_percent = 25
[profit]
margin_percent = 40
[tax]
name = "VAT"
percent = 20
[[quantity_break]]
from_copies = 3
discount_percent = 10
"#;

/// The list with some texts replaced.
pub(crate) fn list_with(changes: &[(&str, &str)]) -> PriceList {
    changed_list(changes).unwrap()
}

pub(crate) fn changed_list(changes: &[(&str, &str)]) -> Result<PriceList, PricingError> {
    let text = changes.iter().fold(LIST.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "{from} is not in the list");
        text.replacen(from, to, 1)
    });
    PriceList::parse(&text, "list.toml")
}

/// A built-in ink set whose machine has no facts.
pub(crate) fn set(name: &str) -> InkSet {
    let parsed = inkset::builtin(name).unwrap().parse().unwrap();
    InkSet { machine: MachineFacts::default(), ..parsed.set }
}

pub(crate) fn millimetres(millimetres: f64) -> Length {
    Length::from_millimetres(millimetres).unwrap()
}

pub(crate) fn millilitres(millilitres: f64) -> Volume {
    Volume::from_millilitres(millilitres).unwrap()
}

pub(crate) fn copies(copies: u32) -> NonZeroU32 {
    NonZeroU32::new(copies).unwrap()
}

/// A picture that takes so much ink in all, a quarter of it from each of four channels, with a
/// range of so many percent up and down.
pub(crate) fn picture(
    name: &str,
    [width, height]: [f64; 2],
    prints: u32,
    ink: f64,
    range_percent: f64,
) -> OrderedPicture {
    let part = range_percent / 100.0;
    OrderedPicture {
        name: name.to_owned(),
        width: millimetres(width),
        height: millimetres(height),
        copies: copies(prints),
        inks: [0.25, 0.25, 0.25, 0.25, 0.0].map(|share| millilitres(ink * share)).to_vec(),
        ink: VolumeRange {
            low: millilitres(ink * (1.0 - part)),
            expected: millilitres(ink),
            high: millilitres(ink * (1.0 + part)),
        },
    }
}
