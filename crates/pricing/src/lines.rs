use iso_currency::Currency;
use rust_decimal::Decimal;
use units::{Length, Money, Volume};

use crate::amounts::Amounts;
use crate::roll_choice::LaidOut;
use crate::{Minutes, Percent, PriceList, Profit, to_minor_unit};

/// A line of a quote, rounded to the currency's minor unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// What it is for.
    pub kind: LineKind,
    /// What it was computed from.
    pub basis: Basis,
    /// The amount; discounts are negative.
    pub amount: Money,
}

/// What a line is for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LineKind {
    /// Ink of the pictures.
    Ink,
    /// Ink beyond the pictures' sides.
    EdgeInk,
    /// Ink of the start-up.
    StartUpInk,
    /// The order's share of cleaning ink.
    CleaningInk,
    /// Paper, cuttings included.
    Paper,
    /// Work by people.
    Labour,
    /// Time of the machine.
    MachineTime,
    /// Ink, paper and machine time printed in vain.
    Spoilage,
    /// Sum: the cost.
    Cost,
    /// What is earned, as a share of the price.
    Margin,
    /// What is earned, as a share of the cost.
    Markup,
    /// Less for many copies.
    Discount,
    /// What is missing to the minimum charge.
    MinimumCharge,
    /// Sum: the net price.
    Net,
    /// The tax, by its name.
    Tax(String),
    /// Sum: the price with tax.
    Total,
}

/// What a line was computed from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Basis {
    /// A volume of ink.
    Ink(Volume),
    /// A length of roll.
    Roll {
        /// Its whole width.
        width: Length,
        /// The billed length.
        length: Length,
    },
    /// Minutes of work.
    Time(Minutes),
    /// Percent of other lines.
    Percent(Percent),
    /// Nothing but other lines.
    Lines,
}

impl LineKind {
    /// Whether the line repeats what the lines above add up to.
    #[must_use]
    pub const fn is_sum(&self) -> bool {
        matches!(self, Self::Cost | Self::Net | Self::Total)
    }
}

/// The lines of a quote and their sums.
#[derive(Clone, Debug)]
pub(crate) struct Sums {
    pub(crate) lines: Vec<Line>,
    pub(crate) ink: Decimal,
    pub(crate) cost: Money,
    pub(crate) net: Money,
    pub(crate) total: Money,
}

/// Adds up lines, each rounded as it comes in.
struct Lines {
    currency: Currency,
    lines: Vec<Line>,
    sum: Decimal,
}

impl Lines {
    /// Adds a line; one that comes to nothing is left out.
    fn add(&mut self, kind: LineKind, basis: Basis, amount: Decimal) -> Decimal {
        let amount = to_minor_unit(amount, self.currency);
        if !amount.amount().is_zero() {
            self.sum += amount.amount();
            self.lines.push(Line { kind, basis, amount });
        }
        amount.amount()
    }

    /// Writes down what was added so far.
    fn sum(&mut self, kind: LineKind) -> Money {
        let amount = to_minor_unit(self.sum, self.currency);
        self.lines.push(Line { kind, basis: Basis::Lines, amount });
        amount
    }
}

/// Rounds every amount to a line and adds them up, for an order of so many copies.
pub(crate) fn add_up(
    list: &PriceList,
    amounts: &Amounts,
    laid_out: &LaidOut<'_>,
    copies: u64,
) -> Sums {
    let mut lines = Lines { currency: list.currency, lines: Vec::new(), sum: Decimal::ZERO };
    let ink = add_cost(&mut lines, list, amounts, laid_out);
    let cost = lines.sum(LineKind::Cost);
    add_profit(&mut lines, list.profit);
    add_discount(&mut lines, list, copies);
    let net = lines.sum(LineKind::Net);
    if let Some(tax) = &list.tax {
        let amount = tax.rate.of(lines.sum);
        lines.add(LineKind::Tax(tax.name.clone()), Basis::Percent(tax.rate), amount);
    }
    let total = lines.sum(LineKind::Total);
    Sums { lines: lines.lines, ink, cost, net, total }
}

/// The lines up to the cost; gives what all ink together costs.
fn add_cost(
    lines: &mut Lines,
    list: &PriceList,
    amounts: &Amounts,
    laid_out: &LaidOut<'_>,
) -> Decimal {
    let Amounts { ink, edge_ink, start_up, cleaning, paper, labour, machine_time } = amounts;
    let basis = |costed: &crate::amounts::Costed<Volume>| Basis::Ink(costed.quantity);
    let pictures = lines.add(LineKind::Ink, basis(ink), ink.cost);
    let edges = lines.add(LineKind::EdgeInk, basis(edge_ink), edge_ink.cost);
    let begun = lines.add(LineKind::StartUpInk, basis(start_up), start_up.cost);
    let cleaned = lines.add(LineKind::CleaningInk, basis(cleaning), cleaning.cost);
    let roll = Basis::Roll { width: laid_out.layout.roll_width, length: laid_out.layout.length };
    let paper = lines.add(LineKind::Paper, roll, *paper);
    lines.add(LineKind::Labour, Basis::Time(labour.quantity), labour.cost);
    let time = Basis::Time(machine_time.quantity);
    let machine = lines.add(LineKind::MachineTime, time, machine_time.cost);
    let spoilt = list.spoilage.of(pictures + edges + paper + machine);
    lines.add(LineKind::Spoilage, Basis::Percent(list.spoilage), spoilt);
    pictures + edges + begun + cleaned
}

fn add_profit(lines: &mut Lines, profit: Profit) {
    let cost = lines.sum;
    match profit {
        // Of the price: price − cost = cost × margin / (1 − margin). A margin is 95 % at most.
        Profit::Margin(margin) => {
            let left = Decimal::ONE_HUNDRED - margin.to_percent();
            let earned = (cost * margin.to_percent()).checked_div(left).unwrap_or_default();
            lines.add(LineKind::Margin, Basis::Percent(margin), earned);
        }
        Profit::Markup(markup) => {
            lines.add(LineKind::Markup, Basis::Percent(markup), markup.of(cost));
        }
    }
}

fn add_discount(lines: &mut Lines, list: &PriceList, copies: u64) {
    let discount: Percent = list.discount(copies);
    let waived = discount.of(lines.sum);
    lines.add(LineKind::Discount, Basis::Percent(discount), -waived);
    if let Some(least) = list.minimum_charge {
        let missing = (least.amount() - lines.sum).max(Decimal::ZERO);
        lines.add(LineKind::MinimumCharge, Basis::Lines, missing);
    }
}
