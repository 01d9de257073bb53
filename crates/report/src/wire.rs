//! The JSON form, version 1. Names carry their units.

use serde::Serialize;

mod colours;
mod verdict;

pub use colours::{
    ChannelCoverage, Cielab, ColourDocument, ColourSeparation, Mixture, MixtureDocument,
    Reflectances,
};
pub use verdict::{
    AfterCompensation, Choice, Differences, Inconstancy, Lost, Places, Thresholds, Verdict,
};

/// Version of the forms in this module.
pub const VERSION: u32 = 1;

/// Said by every report.
pub const DISCLAIMER: &str = "An estimate is not a measurement.";

/// A whole report: one entry for each file, answered or not.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Document {
    /// Version of the form.
    pub version: u32,
    /// Name and version of the program.
    pub program: String,
    /// The disclaimer.
    pub disclaimer: &'static str,
    /// The files in the order given.
    pub files: Vec<File>,
    /// All answered files together, by ink set; only when several ink sets are compared.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub totals: Vec<Total>,
    /// Savings over all answered files, by pair of ink sets.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub savings: Vec<Saving>,
    /// What the pictures that need no larger set would save on the smallest one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub without_need_of_larger: Option<Rest>,
}

/// One file.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct File {
    /// The file as it was named.
    pub file: String,
    /// Whether it was answered.
    #[serde(flatten)]
    pub status: Status,
}

/// Whether a file was answered.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "status", rename_all = "snake_case")]
pub enum Status {
    /// It was: one estimate for each ink set.
    Estimated {
        /// BLAKE3 hash of the file's bytes.
        content_hash: String,
        /// The estimates.
        estimates: Vec<Estimate>,
        /// Savings of this picture, by pair of ink sets.
        #[serde(skip_serializing_if = "Vec::is_empty")]
        savings: Vec<Saving>,
        /// Which of the compared sets the picture's colours need.
        #[serde(skip_serializing_if = "Option::is_none")]
        choice: Option<Choice>,
    },
    /// It was not.
    Failed {
        /// Why, and what to do.
        error: String,
    },
}

/// The ink of one picture on one ink set.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Estimate {
    /// Name of the ink set.
    pub ink_set: String,
    /// Name of the substrate.
    pub substrate: String,
    /// Name of the print mode.
    pub print_mode: String,
    /// Number of prints.
    pub copies: u32,
    /// Printed width of a copy.
    pub width_mm: f64,
    /// Printed height of a copy.
    pub height_mm: f64,
    /// Printed area of all copies.
    pub area_m2: f64,
    /// The channels in the device's order.
    pub channels: Vec<Channel>,
    /// Ink of all channels.
    pub total_ml: f64,
    /// Lower end of its 90 % range.
    pub total_ml_low: f64,
    /// Upper end of its 90 % range.
    pub total_ml_high: f64,
    /// Ink at the start of the job, in no other figure; only where a calibration knows it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub start_up: Option<StartUp>,
    /// Most ink at any place.
    pub highest_load_ml_per_m2: f64,
    /// The substrate's limit of it.
    pub load_limit_ml_per_m2: f64,
    /// Highest sum of coverages at any place, 1 = 100 %.
    pub highest_total_area_coverage: f64,
    /// Share of the area where a limit bound, 0 to 1.
    pub limited_share: f64,
    /// Whether the set holds the picture's colours; only when several ink sets are compared.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub verdict: Option<Verdict>,
    /// How much of the area carries how much ink; only when several ink sets are compared.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub load_histogram: Option<LoadHistogram>,
    /// How far its prediction lies from that of each set compared before it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub against_sets: Vec<SetDifference>,
    /// What the ink policy saved and cost; absent under the set's own black replacement.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub policy_effect: Option<PolicyEffect>,
    /// What the estimate was made with.
    pub ids: Ids,
    /// What it rests on.
    pub assumptions: Vec<Assumption>,
}

/// Ink that a job takes whatever its size, all inks together.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StartUp {
    /// Ink at the start.
    pub ml: f64,
    /// Lower end of its 90 % range.
    pub ml_low: f64,
    /// Upper end of its 90 % range.
    pub ml_high: f64,
    /// Start and picture together, all copies.
    pub with_picture_ml: f64,
    /// Lower end of its 90 % range.
    pub with_picture_ml_low: f64,
    /// Upper end of its 90 % range.
    pub with_picture_ml_high: f64,
}

/// One ink.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Channel {
    /// Name of the ink.
    pub name: String,
    /// The predicted colour of its solid in sRGB, `#rrggbb`, paper as white; absent where an output
    /// profile predicts no single inks.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub srgb: Option<String>,
    /// Whether the substrate leaves it unused.
    pub idle: bool,
    /// Mean coverage over the area, 0 to 1.
    pub coverage: f64,
    /// Ink.
    pub ml: f64,
    /// Lower end of its 90 % range.
    pub ml_low: f64,
    /// Upper end of its 90 % range.
    pub ml_high: f64,
}

/// An ink policy against the set's own black replacement.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PolicyEffect {
    /// Ink of all channels by the set's own black replacement.
    pub usual_total_ml: f64,
    /// Percent that the policy takes less, from unrounded figures; null where there is no ink.
    pub saved_percent: Option<f64>,
    /// ΔE00 between what the set's own black replacement prints and what the policy prints.
    pub delta_e_00: Differences,
}

/// What an estimate was made with.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Ids {
    /// Print model.
    pub model: String,
    /// Separation.
    pub separation: String,
    /// Calibration; "none" while nominal values are used.
    pub calibration: String,
}

/// How much of the area carries how much ink.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LoadHistogram {
    /// Width of a step; the last one ends at the substrate's limit.
    pub step_ml_per_m2: f64,
    /// Share of the area in each step, 0 to 1.
    pub shares: Vec<f64>,
}

/// How far the predictions for two sets lie apart, in ΔE00.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SetDifference {
    /// The other set.
    pub ink_set: String,
    /// ΔE00.
    #[serde(flatten)]
    pub differences: Differences,
}

/// Something that had to be assumed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Assumption {
    /// "note" or "warning".
    pub weight: &'static str,
    /// The sentence.
    pub text: String,
}

/// The ink of all answered files on one ink set.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Total {
    /// Name of the ink set.
    pub ink_set: String,
    /// Ink of all files.
    pub total_ml: f64,
    /// Lower end of its range: the sum of the files' lower ends.
    pub total_ml_low: f64,
    /// Upper end of its range: the sum of the files' upper ends.
    pub total_ml_high: f64,
    /// Ink of each channel, all files together.
    pub channels: Vec<TotalChannel>,
    /// Number of pictures whose colours the set holds.
    pub holds: usize,
    /// Number of those of which it holds all but a part that can be named.
    pub holds_all_but: usize,
    /// Number of those of which it does not.
    pub loses: usize,
}

/// One ink over all answered files.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TotalChannel {
    /// Name of the ink.
    pub name: String,
    /// The predicted colour of its solid in sRGB.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub srgb: Option<String>,
    /// Whether the substrate leaves it unused.
    pub idle: bool,
    /// Ink.
    pub ml: f64,
}

/// What the pictures that need no larger set would save.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Rest {
    /// How many they are.
    pub pictures: usize,
    /// The smallest set against the largest, over these pictures alone.
    pub saving: Saving,
}

/// How much less ink one set takes than another.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Saving {
    /// The set that comes earlier in the comparison.
    pub ink_set: String,
    /// The set that it is held against.
    pub against: String,
    /// Percent from unrounded figures; null when the other takes no ink.
    pub percent: Option<f64>,
}
