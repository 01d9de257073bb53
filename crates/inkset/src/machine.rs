use units::{Length, Money, Share, Volume};

/// Facts of the machine that fires the set; all optional, none enters the picture's ink.
///
/// Prices are in the currency of the set.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MachineFacts {
    /// Widest sheet.
    pub widest: Option<Length>,
    /// Price of the machine.
    pub price: Option<Money>,
    /// Ink used each day without printing.
    pub idle_per_day: Option<Volume>,
    /// Ink used by one cleaning.
    pub cleaning: Option<Volume>,
    /// Cleanings of an average month.
    pub cleanings_per_month: Option<u32>,
    /// Ink used at the start of a job.
    pub start_up: Option<Volume>,
    /// Share of a cartridge that stays in it when the machine calls it empty.
    pub residual_ink: Option<Share>,
    /// Heads that wear out.
    pub heads: Option<Heads>,
    /// Price of other parts that wear out, for a year.
    pub maintenance_per_year: Option<Money>,
}

/// The heads of a machine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heads {
    /// How many there are.
    pub count: u32,
    /// Price of one.
    pub price: Money,
    /// Months after which one is replaced, on average.
    pub life_months: u32,
}
