use csv::Writer;
use serde::Serialize;

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
    idle: Option<bool>,
    coverage: Option<f64>,
    ml: Option<f64>,
    ml_low: Option<f64>,
    ml_high: Option<f64>,
    error: &'document str,
}

/// Writes a document; the last row of each estimate is its `total`.
pub(crate) fn csv(document: &wire::Document) -> String {
    let mut writer = Writer::from_writer(Vec::new());
    for row in document.files.iter().flat_map(rows) {
        // Writing to memory can't fail.
        let _ = writer.serialize(row);
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}

fn rows(file: &wire::File) -> Vec<Row<'_>> {
    match &file.status {
        wire::Status::Failed { error } => {
            vec![Row { file: &file.file, status: "failed", error, ..Row::default() }]
        }
        wire::Status::Estimated { estimates, .. } => {
            estimates.iter().flat_map(|estimate| rows_of(&file.file, estimate)).collect()
        }
    }
}

fn rows_of<'document>(
    file: &'document str,
    estimate: &'document wire::Estimate,
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
            idle: Some(channel.idle),
            coverage: Some(channel.coverage),
            ml: Some(channel.ml),
            ml_low: Some(channel.ml_low),
            ml_high: Some(channel.ml_high),
            ..row()
        })
        .collect();
    rows.push(Row {
        channel: "total",
        ml: Some(estimate.total_ml),
        ml_low: Some(estimate.total_ml_low),
        ml_high: Some(estimate.total_ml_high),
        ..row()
    });
    rows
}
