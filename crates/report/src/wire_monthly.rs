//! The JSON forms of routing and payback, version 1. Names carry their units; money is written as
//! exact decimal numbers in texts.

use serde::Serialize;

use crate::wire::Assumption;
use crate::wire_quote::{AmountRange, FailedPicture};

/// Version of the forms in this module.
pub const VERSION: u32 = 1;

/// A month's jobs on the ink sets that they are sent to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RoutingDocument {
    /// Version of the form.
    pub version: u32,
    /// What the form holds: "routing".
    pub kind: &'static str,
    /// Name and version of the program.
    pub program: String,
    /// The disclaimer.
    pub disclaimer: &'static str,
    /// The jobs and their totals.
    #[serde(flatten)]
    pub month: Month,
    /// Jobs that could not be estimated.
    pub failed: Vec<FailedPicture>,
    /// What the answer rests on.
    pub assumptions: Vec<Assumption>,
}

/// A month's jobs and their totals.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Month {
    /// Code of ISO 4217 of every amount.
    pub currency: &'static str,
    /// Name of the price list.
    pub price_list: String,
    /// When a set holds a job's colours, in words.
    pub demand: String,
    /// ΔE00 above which a colour counts as lost.
    pub lost_above_delta_e_00: f64,
    /// Names of the ink sets.
    pub ink_sets: Vec<String>,
    /// The jobs.
    pub jobs: Vec<Job>,
    /// All jobs on one set, for each set.
    pub all_on: Vec<Total>,
    /// Each job where it is sent.
    pub routed: Total,
    /// What routing saves against all jobs on one set, for each set.
    pub savings: Vec<Saving>,
}

/// A job.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Job {
    /// Its name.
    pub name: String,
    /// Prints of a month.
    pub copies_per_month: u32,
    /// Their area.
    pub area_m2: f64,
    /// The job on each set.
    pub on: Vec<OnSet>,
    /// Name of the ink set that it is sent to.
    pub sent_to: String,
    /// Whether that set holds its colours.
    pub held: bool,
}

/// A job on one ink set.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OnSet {
    /// Name of the ink set.
    pub ink_set: String,
    /// Ink of a month.
    pub ink_ml: f64,
    /// Lower end of its 90 % range.
    pub ink_ml_low: f64,
    /// Upper end of its 90 % range.
    pub ink_ml_high: f64,
    /// What it costs.
    pub cost: String,
    /// Whether the set holds the job's colours.
    pub holds: bool,
}

/// Ink of a month.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Total {
    /// Name of the ink set, or "each where it is sent".
    pub ink_set: String,
    /// Ink.
    pub ink_ml: f64,
    /// Lower end: sum of the jobs' lower ends.
    pub ink_ml_low: f64,
    /// Upper end: sum of the jobs' upper ends.
    pub ink_ml_high: f64,
    /// What it costs.
    pub cost: String,
    /// Jobs on a set that does not hold their colours.
    pub jobs_not_held: usize,
}

/// What routing saves in a month; negative where it costs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Saving {
    /// The ink set on which all jobs would be.
    pub against: String,
    /// Ink.
    pub ink_ml: f64,
    /// Money.
    pub money: String,
}

/// When a machine has earned its price.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PaybackDocument {
    /// Version of the form.
    pub version: u32,
    /// What the form holds: "payback".
    pub kind: &'static str,
    /// Name and version of the program.
    pub program: String,
    /// The disclaimer.
    pub disclaimer: &'static str,
    /// The jobs and their totals.
    #[serde(flatten)]
    pub month: Month,
    /// Ink set of the machine that is there.
    pub have: String,
    /// Ink set of the machine to buy.
    pub buy: String,
    /// What becomes of the machine that is there: "stays" or "goes".
    pub old_machine: &'static str,
    /// Price of the machine.
    pub price: String,
    /// What both machines cost without printing.
    pub running: Vec<Running>,
    /// Ink saved in a month, before running costs.
    pub ink_saving: AmountRange,
    /// Running cost that the purchase adds in a month; negative where it ends more.
    pub added_running_cost: String,
    /// What is saved in a month; negative where the purchase costs.
    pub saving: AmountRange,
    /// Time until the price is earned, with the least saving.
    pub time_at_least_saving: Time,
    /// With the expected saving.
    pub time: Time,
    /// With the most saving.
    pub time_at_most_saving: Time,
    /// Area of the mix in a month.
    pub area_m2_per_month: f64,
    /// Area in a month from which on the machine saves anything, in words and figures.
    pub break_even: Threshold,
    /// Area in a month that earns the price within the horizon.
    pub within_horizon: Threshold,
    /// The horizon.
    pub horizon_months: u32,
    /// How the answer moves with what it rests on.
    pub sensitivity: Vec<Sensitivity>,
    /// Jobs that could not be estimated.
    pub failed: Vec<FailedPicture>,
    /// What the answer rests on.
    pub assumptions: Vec<Assumption>,
}

/// What a machine costs in a month without printing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Running {
    /// Its ink set.
    pub ink_set: String,
    /// Ink used without printing.
    pub idle_ink_ml: f64,
    /// What that costs.
    pub idle: String,
    /// Ink of cleanings.
    pub cleaning_ink_ml: f64,
    /// What that costs.
    pub cleaning: String,
    /// Heads.
    pub heads: String,
    /// Other parts.
    pub maintenance: String,
    /// The sum.
    pub sum: String,
}

/// Time until a price is earned.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Time {
    /// "months", "at_once", "never" or "undefined".
    pub status: &'static str,
    /// The months, where there are any.
    pub months: Option<f64>,
    /// In words.
    pub words: String,
}

/// An area from which on something holds.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Threshold {
    /// "area", "always" or "never".
    pub status: &'static str,
    /// The area, where there is one.
    pub area_m2_per_month: Option<f64>,
    /// In words.
    pub words: String,
}

/// One thing changed, everything else as it was.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sensitivity {
    /// "none", "ink_price", "volume" or "tolerance".
    pub change: &'static str,
    /// Percent of the price or volume, or the ΔE00.
    pub to: Option<f64>,
    /// In words.
    pub words: String,
    /// Jobs on the new machine then.
    pub jobs_moved: usize,
    /// Jobs on a machine that does not hold their colours then.
    pub jobs_not_held: usize,
    /// What is saved in a month then.
    pub saving: AmountRange,
    /// Time with the least saving.
    pub time_at_least_saving: Time,
    /// With the expected saving.
    pub time: Time,
    /// With the most saving.
    pub time_at_most_saving: Time,
}
