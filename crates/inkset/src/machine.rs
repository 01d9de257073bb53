use units::{Length, Money, Share, Volume};

/// Facts of the machine that fires the set; all optional, none enters the picture's ink.
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
    /// Ink used at the start of a job.
    pub start_up: Option<Volume>,
    /// Share of a cartridge that stays in it when the machine calls it empty.
    pub residual_ink: Option<Share>,
}
