use iso_currency::Currency;
use units::{Length, Money, Share, Volume};

use crate::{Minutes, Percent};

/// What a studio pays and asks, in one currency.
///
/// A list read by [`PriceList::parse`](crate::PriceList::parse) is consistent: every number is in
/// its range, quantity breaks stand in order, the currency has a minor unit.
#[derive(Clone, Debug, PartialEq)]
pub struct PriceList {
    /// Name by which the list is called.
    pub name: String,
    /// One line for people.
    pub title: String,
    /// Whose prices these are.
    pub provenance: ListProvenance,
    /// The currency of every price.
    pub currency: Currency,
    /// Prices of ink; for each ink the first that fits counts.
    pub inks: Vec<InkPriceRule>,
    /// The papers.
    pub papers: Vec<Paper>,
    /// How prints are laid out on a roll.
    pub layout: LayoutRules,
    /// Work by people.
    pub labour: WorkRate,
    /// Time of the machine.
    pub machine_time: WorkRate,
    /// Ink that an order takes beside its pictures.
    pub overhead_ink: OverheadInk,
    /// Ink, paper and machine time printed in vain, in percent of what is delivered.
    pub spoilage: Percent,
    /// What is earned.
    pub profit: Profit,
    /// What is added for the state; nothing if absent.
    pub tax: Option<Tax>,
    /// The least that an order costs before tax; nothing if absent.
    pub minimum_charge: Option<Money>,
    /// Discounts for many copies, in rising order.
    pub breaks: Vec<QuantityBreak>,
}

/// Whose prices a list holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ListProvenance {
    /// Those of the studio that uses it.
    Own,
    /// Nobody's: made up for a demonstration.
    Invented,
}

/// The price of some inks.
#[derive(Clone, Debug, PartialEq)]
pub struct InkPriceRule {
    /// The ink set that it is for; all sets if absent.
    pub ink_set: Option<String>,
    /// The inks that it is for; all inks of the set if empty.
    pub inks: Vec<String>,
    /// What they cost.
    pub price: InkPrice,
}

/// How ink is bought.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum InkPrice {
    /// In cartridges, of which a part stays in.
    Cartridge {
        /// Ink in a full cartridge.
        size: Volume,
        /// What it costs.
        price: Money,
        /// Share that stays in when it counts as empty; that of the machine if absent.
        residual: Option<Share>,
    },
    /// By the litre.
    Litre(Money),
}

/// A paper, canvas or film on rolls.
#[derive(Clone, Debug, PartialEq)]
pub struct Paper {
    /// Its name.
    pub name: String,
    /// Substrates of ink sets that it is.
    pub substrates: Vec<String>,
    /// The rolls that it comes on.
    pub rolls: Vec<Roll>,
}

/// A roll of paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Roll {
    /// Its whole width.
    pub width: Length,
    /// What it costs.
    pub price: PaperPrice,
}

/// How paper is paid for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PaperPrice {
    /// By the square metre of roll, cuttings included.
    SquareMetre(Money),
    /// By the metre of roll.
    RunningMetre(Money),
}

/// How prints are laid out on a roll.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LayoutRules {
    /// Free paper between neighbouring prints.
    pub gap: Length,
    /// Paper cut off before the first print and after the last one, each.
    pub trim: Length,
    /// Strip at either side of the roll that stays free.
    pub side_margin: Length,
    /// Width by which the picture is carried on beyond each side: takes ink and room.
    pub edge: Length,
    /// Width by which ink is fired beyond that, into the gap: takes ink and no room.
    pub overspray: Length,
    /// Whether prints may be turned by a quarter.
    pub rotation: bool,
}

/// Work that is paid by the hour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorkRate {
    /// Price of an hour.
    pub hour: Money,
    /// Time that every order takes.
    pub per_order: Minutes,
    /// Time that a square metre of delivered prints takes.
    pub per_square_metre: Minutes,
}

/// Ink that an order takes beside its pictures. Volumes that are absent are the machine's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OverheadInk {
    /// Ink of one start-up; every order pays one.
    pub start_up: Option<Volume>,
    /// Ink of one cleaning.
    pub cleaning: Option<Volume>,
    /// Share of a cleaning that an order pays.
    pub cleanings_per_order: Percent,
}

/// What is earned on top of the cost.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Profit {
    /// Percent of the price: price = cost / (1 − margin).
    Margin(Percent),
    /// Percent of the cost: price = cost × (1 + markup).
    Markup(Percent),
}

/// A tax on the net price.
#[derive(Clone, Debug, PartialEq)]
pub struct Tax {
    /// What it is called on the quote.
    pub name: String,
    /// Percent of the net price.
    pub rate: Percent,
}

/// A discount for many copies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct QuantityBreak {
    /// Number of prints of an order from which it holds.
    pub from_copies: u32,
    /// Percent of the price.
    pub discount: Percent,
}

impl PriceList {
    /// The discount for so many copies: that of the last break that is reached.
    #[must_use]
    pub fn discount(&self, copies: u64) -> Percent {
        let reached = self.breaks.iter().rev().find(|it| u64::from(it.from_copies) <= copies);
        reached.map_or(Percent::ZERO, |it| it.discount)
    }
}
