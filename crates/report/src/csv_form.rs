use serde::Serialize;

#[cfg(feature = "parquet")]
use crate::parquet_form::{Column, Kind};
use crate::wire;

/// One row: a channel, or a file that failed.
#[derive(Default, Serialize)]
struct Row<'document> {
    file: &'document str,
    status: &'static str,
    ink_set: &'document str,
    substrate: &'document str,
    print_mode: &'document str,
    copies: Option<u32>,
    width_mm: Option<f64>,
    height_mm: Option<f64>,
    area_m2: Option<f64>,
    channel: &'document str,
    srgb: &'document str,
    idle: Option<bool>,
    coverage: Option<f64>,
    ml: Option<f64>,
    ml_low: Option<f64>,
    ml_high: Option<f64>,
    holding: &'document str,
    out_of_gamut_share: Option<f64>,
    delta_e_00_mean: Option<f64>,
    delta_e_00_p95: Option<f64>,
    delta_e_00_max: Option<f64>,
    compensated_out_of_gamut_share: Option<f64>,
    compensated_delta_e_00_mean: Option<f64>,
    compensated_delta_e_00_p95: Option<f64>,
    compensated_delta_e_00_max: Option<f64>,
    inconstancy_mean: Option<f64>,
    inconstancy_p95: Option<f64>,
    inconstancy_max: Option<f64>,
    loss: Option<f64>,
    lost_regions: String,
    lost_mostly_at: String,
    load_step_ml_per_m2: Option<f64>,
    load_histogram: String,
    differs_from_sets: String,
    usual_ml: Option<f64>,
    saved_percent: Option<f64>,
    policy_delta_e_00_mean: Option<f64>,
    policy_delta_e_00_p95: Option<f64>,
    policy_delta_e_00_max: Option<f64>,
    start_up_ml: Option<f64>,
    start_up_ml_low: Option<f64>,
    start_up_ml_high: Option<f64>,
    with_start_up_ml: Option<f64>,
    with_start_up_ml_low: Option<f64>,
    with_start_up_ml_high: Option<f64>,
    verdict: &'document str,
    choice: &'document str,
    error: &'document str,
}

/// The columns of a row with what they hold, for typed forms.
#[cfg(feature = "parquet")]
pub(crate) const COLUMNS: [Column; 48] = {
    use Kind::{Count, Flag, Number, Numbers, Text};
    [
        ("file", Text),
        ("status", Text),
        ("ink_set", Text),
        ("substrate", Text),
        ("print_mode", Text),
        ("copies", Count),
        ("width_mm", Number),
        ("height_mm", Number),
        ("area_m2", Number),
        ("channel", Text),
        ("srgb", Text),
        ("idle", Flag),
        ("coverage", Number),
        ("ml", Number),
        ("ml_low", Number),
        ("ml_high", Number),
        ("holding", Text),
        ("out_of_gamut_share", Number),
        ("delta_e_00_mean", Number),
        ("delta_e_00_p95", Number),
        ("delta_e_00_max", Number),
        ("compensated_out_of_gamut_share", Number),
        ("compensated_delta_e_00_mean", Number),
        ("compensated_delta_e_00_p95", Number),
        ("compensated_delta_e_00_max", Number),
        ("inconstancy_mean", Number),
        ("inconstancy_p95", Number),
        ("inconstancy_max", Number),
        ("loss", Number),
        ("lost_regions", Text),
        ("lost_mostly_at", Text),
        ("load_step_ml_per_m2", Number),
        ("load_histogram", Numbers),
        ("differs_from_sets", Text),
        ("usual_ml", Number),
        ("saved_percent", Number),
        ("policy_delta_e_00_mean", Number),
        ("policy_delta_e_00_p95", Number),
        ("policy_delta_e_00_max", Number),
        ("start_up_ml", Number),
        ("start_up_ml_low", Number),
        ("start_up_ml_high", Number),
        ("with_start_up_ml", Number),
        ("with_start_up_ml_low", Number),
        ("with_start_up_ml_high", Number),
        ("verdict", Text),
        ("choice", Text),
        ("error", Text),
    ]
};

/// The rows of a document; the last row of each estimate is its `total`.
pub(crate) fn rows(document: &wire::Document) -> impl Iterator<Item = impl Serialize> {
    document.files.iter().flat_map(rows_of_file)
}

fn rows_of_file(file: &wire::File) -> Vec<Row<'_>> {
    match &file.status {
        wire::Status::Failed { error } => {
            vec![Row { file: &file.file, status: "failed", error, ..Row::default() }]
        }
        wire::Status::Estimated { estimates, choice, .. } => {
            let choice = choice.as_ref().map_or("", |choice| choice.sentence.as_str());
            estimates.iter().flat_map(|estimate| rows_of(&file.file, estimate, choice)).collect()
        }
    }
}

fn rows_of<'document>(
    file: &'document str,
    estimate: &'document wire::Estimate,
    choice: &'document str,
) -> Vec<Row<'document>> {
    let row = || Row {
        file,
        status: "estimated",
        ink_set: &estimate.ink_set,
        substrate: &estimate.substrate,
        print_mode: &estimate.print_mode,
        copies: Some(estimate.copies),
        width_mm: Some(estimate.width_mm),
        height_mm: Some(estimate.height_mm),
        area_m2: Some(estimate.area_m2),
        ..Row::default()
    };
    let mut rows: Vec<Row<'_>> = estimate
        .channels
        .iter()
        .map(|channel| Row {
            channel: &channel.name,
            srgb: channel.srgb.as_deref().unwrap_or_default(),
            idle: Some(channel.idle),
            coverage: Some(channel.coverage),
            ml: Some(channel.ml),
            ml_low: Some(channel.ml_low),
            ml_high: Some(channel.ml_high),
            ..row()
        })
        .collect();
    let effect = estimate.policy_effect.as_ref();
    let start_up = estimate.start_up.as_ref();
    rows.push(Row {
        channel: "total",
        ml: Some(estimate.total_ml),
        ml_low: Some(estimate.total_ml_low),
        ml_high: Some(estimate.total_ml_high),
        choice,
        load_step_ml_per_m2: estimate.load_histogram.as_ref().map(|loads| loads.step_ml_per_m2),
        load_histogram: estimate.load_histogram.as_ref().map_or_else(String::new, shares),
        differs_from_sets: differences(&estimate.against_sets),
        usual_ml: effect.map(|effect| effect.usual_total_ml),
        saved_percent: effect.and_then(|effect| effect.saved_percent),
        policy_delta_e_00_mean: effect.map(|effect| effect.delta_e_00.mean),
        policy_delta_e_00_p95: effect.map(|effect| effect.delta_e_00.p95),
        policy_delta_e_00_max: effect.map(|effect| effect.delta_e_00.max),
        start_up_ml: start_up.map(|start_up| start_up.ml),
        start_up_ml_low: start_up.map(|start_up| start_up.ml_low),
        start_up_ml_high: start_up.map(|start_up| start_up.ml_high),
        with_start_up_ml: start_up.map(|start_up| start_up.with_picture_ml),
        with_start_up_ml_low: start_up.map(|start_up| start_up.with_picture_ml_low),
        with_start_up_ml_high: start_up.map(|start_up| start_up.with_picture_ml_high),
        ..estimate.verdict.as_ref().map_or_else(row, |verdict| judged(verdict, row()))
    });
    rows
}

/// Adds a verdict to a row.
fn judged<'document>(verdict: &'document wire::Verdict, row: Row<'document>) -> Row<'document> {
    let against_intended = verdict.against_intended;
    let inconstancy = verdict.inconstancy_d50_to_a.map(|inconstancy| inconstancy.differences);
    let after = verdict.after_black_point_compensation;
    Row {
        holding: verdict.holding,
        out_of_gamut_share: Some(verdict.out_of_gamut_share),
        delta_e_00_mean: Some(against_intended.mean),
        delta_e_00_p95: Some(against_intended.p95),
        delta_e_00_max: Some(against_intended.max),
        compensated_out_of_gamut_share: after.map(|after| after.out_of_gamut_share),
        compensated_delta_e_00_mean: after.map(|after| after.differences.mean),
        compensated_delta_e_00_p95: after.map(|after| after.differences.p95),
        compensated_delta_e_00_max: after.map(|after| after.differences.max),
        inconstancy_mean: inconstancy.map(|it| it.mean),
        inconstancy_p95: inconstancy.map(|it| it.p95),
        inconstancy_max: inconstancy.map(|it| it.max),
        loss: Some(verdict.loss),
        lost_regions: lost_regions(verdict),
        lost_mostly_at: verdict.places.as_ref().map_or_else(String::new, |at| at.mostly.join("; ")),
        verdict: &verdict.sentence,
        ..row
    }
}

/// Regions with their shares in one cell: `reds 0.013; blues 0.002`.
fn lost_regions(verdict: &wire::Verdict) -> String {
    let regions = verdict.lost.iter().map(|lost| format!("{} {}", lost.region, lost.share));
    regions.collect::<Vec<_>>().join("; ")
}

/// The shares of a histogram in one cell, from no ink on.
fn shares(histogram: &wire::LoadHistogram) -> String {
    histogram.shares.iter().map(f64::to_string).collect::<Vec<_>>().join("; ")
}

/// Differences from other sets in one cell: `five mean 0.4 p95 1.2 max 5.6`.
fn differences(against: &[wire::SetDifference]) -> String {
    let one = |other: &wire::SetDifference| {
        let wire::Differences { mean, p95, max } = other.differences;
        format!("{} mean {mean} p95 {p95} max {max}", other.ink_set)
    };
    against.iter().map(one).collect::<Vec<_>>().join("; ")
}

#[cfg(all(test, feature = "parquet"))]
mod tests {
    use super::*;
    use crate::{parquet_form::names, row_forms};

    #[test]
    fn typed_columns_are_those_of_the_csv_form_in_its_order() {
        let csv = row_forms::csv(std::iter::once(Row::default()));
        assert_eq!(names(&COLUMNS), csv.lines().next().unwrap());
    }
}
