//! Fitting charts: published data, an invented print whose parameters are known, and files with
//! mistakes in them.

#![expect(clippy::unwrap_used, reason = "tests' own functions may panic as tests do")]

#[path = "fitting/invented_print.rs"]
mod invented_print;
#[path = "fitting/light_inks.rs"]
mod light_inks;
#[path = "fitting/published.rs"]
mod published;
#[path = "fitting/seven_inks.rs"]
mod seven_inks;
#[path = "fitting/sinking_inks.rs"]
mod sinking_inks;
#[path = "fitting/suspicious.rs"]
mod suspicious;

use charts::{Chart, SampleNames};
use inkfathom_print_model::{Accuracy, Fit, FitRequest, FittedModel};
use inkset::{InkSet, builtin};

fn base() -> InkSet {
    builtin("five").and_then(|set| set.parse().ok()).expect("a built-in set").set
}

fn read(text: &str, names: &SampleNames) -> Chart {
    Chart::read(text.as_bytes(), "chart.txt", names).unwrap_or_else(|error| panic!("{error}"))
}

fn fitted(chart: &Chart, inks: &[&str]) -> Fit {
    let base = base();
    let request = FitRequest {
        inks: inks.iter().map(|ink| (*ink).to_owned()).collect(),
        families: Vec::new(),
        name: "measured".to_owned(),
        title: "measured".to_owned(),
        substrate: "paper".to_owned(),
        base: &base,
    };
    Fit::new(chart, &request).unwrap_or_else(|error| panic!("{error}"))
}

/// Mean and 95th percentile within some bounds.
#[track_caller]
fn within(accuracy: Accuracy, mean: f64, percentile_95: f64) {
    assert!(accuracy.mean <= mean && accuracy.percentile_95 <= percentile_95, "{accuracy:?}");
}

/// The model with 2^F primaries.
fn plain(fit: &Fit) -> &FittedModel {
    &fit.models[0]
}

/// The model that the set holds.
fn kept(fit: &Fit) -> &FittedModel {
    &fit.models[fit.chosen]
}
