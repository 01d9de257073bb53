//! The JSON form of a fit to a chart, version 1. Names carry their units.

use serde::Serialize;

/// Version of the form in this module.
pub const VERSION: u32 = 1;

/// A fit report.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Document {
    /// Version of the form.
    pub version: u32,
    /// Name and version of the program.
    pub program: String,
    /// What a fit is not.
    pub disclaimer: &'static str,
    /// The chart as it was named.
    pub chart: String,
    /// Name of the fitted ink set.
    pub ink_set: String,
    /// The inks in the order of the chart's channels.
    pub inks: Vec<String>,
    /// "spectral" or "tristimulus": what mixes.
    pub bands: &'static str,
    /// Patches in the chart.
    pub patches: usize,
    /// The models that were fitted.
    pub models: Vec<Model>,
    /// How the light inks are predicted by the chosen model; only where the chart has some. The
    /// models' figures are those of the patches without them.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub light_inks: Option<LightInks>,
    /// The worst patches of the chosen model, worst first, ten at most.
    pub worst: Vec<Worst>,
    /// Patches that were not used.
    pub suspects: Vec<Suspect>,
    /// What was assumed.
    pub assumptions: Vec<String>,
    /// What is unusual about the chart.
    pub notices: Vec<String>,
}

/// One model.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Model {
    /// Whether the ink set holds this one.
    pub chosen: bool,
    /// By ink: amounts at which primaries are taken, paper and solid included. 2 each: no cells.
    pub levels: Vec<usize>,
    /// Primaries that the chart holds.
    pub measured_primaries: usize,
    /// Overprints of solids that it lacks and that its mixtures show.
    pub estimated_primaries: Vec<String>,
    /// Primaries that it lacks otherwise and that are predicted.
    pub predicted_primaries: Vec<String>,
    /// "yule-nielsen", "kubelka-munk" or "kubelka-munk-mixtures".
    pub law: &'static str,
    /// The factor of mixtures.
    pub n: f64,
    /// All patches but the suspects.
    pub fitted: Accuracy,
    /// Patches that the model did not take its figures from; null where the chart has none.
    pub left_out: Option<Accuracy>,
}

/// The light inks of a chart.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LightInks {
    /// Their names.
    pub inks: Vec<String>,
    /// All patches that hold one, but the suspects.
    pub fitted: Accuracy,
    /// Those that the light inks' solids and curves were not taken from.
    pub left_out: Option<Accuracy>,
}

/// Colour differences between prediction and measurement, in ΔE00.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Accuracy {
    /// How many patches.
    pub patches: usize,
    /// Mean.
    pub mean_delta_e_00: f64,
    /// What 95 of 100 keep.
    pub p95_delta_e_00: f64,
    /// The largest.
    pub max_delta_e_00: f64,
}

/// A patch far from its prediction.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Worst {
    /// Line of the file.
    pub line: usize,
    /// The sample.
    pub sample: String,
    /// Device value of each ink.
    pub device_percent: Vec<f64>,
    /// Its difference.
    pub delta_e_00: f64,
}

/// A patch that was not used.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Suspect {
    /// Line of the file.
    pub line: usize,
    /// The sample.
    pub sample: String,
    /// Why.
    pub reason: String,
}
