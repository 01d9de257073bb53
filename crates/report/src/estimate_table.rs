use std::fmt::Write;

use comfy_table::{CellAlignment, Table, presets};

use crate::wire;

/// A table for each answered file, and what it rests on.
pub(crate) fn tables(document: &wire::Document) -> String {
    let mut text = String::new();
    for file in &document.files {
        if let wire::Status::Estimated { estimates, .. } = &file.status {
            for estimate in estimates {
                push_line(&mut text, &heading(&file.file, estimate));
                push_line(&mut text, &channel_table(estimate).to_string());
                if let Some(start_up) = &estimate.start_up {
                    push_line(&mut text, &start_up_line(start_up));
                }
                push_line(&mut text, &limits_line(estimate));
                push_policy_effect(&mut text, estimate);
                push_assumptions(&mut text, &estimate.assumptions);
                text.push('\n');
            }
        }
    }
    push_line(&mut text, wire::DISCLAIMER);
    text
}

fn heading(file: &str, estimate: &wire::Estimate) -> String {
    format!(
        "{file} on {} ({}, {}), {}",
        estimate.ink_set,
        estimate.substrate,
        estimate.print_mode,
        printed_size(estimate)
    )
}

/// Width × height and area of all copies.
#[must_use]
pub fn printed_size(estimate: &wire::Estimate) -> String {
    let copies = match estimate.copies {
        1 => String::new(),
        copies => format!("{copies} copies, "),
    };
    format!(
        "{:.1} × {:.1} cm, {copies}{:.3} m²",
        estimate.width_mm / 10.0,
        estimate.height_mm / 10.0,
        estimate.area_m2
    )
}

fn channel_table(estimate: &wire::Estimate) -> Table {
    let mut table = plain_table(["ink", "coverage", "ml", "range"]);
    for channel in &estimate.channels {
        if channel.idle {
            table.add_row([channel.name.as_str(), "idle", "", ""]);
        } else {
            table.add_row([
                channel.name.clone(),
                format!("{:.1} %", 100.0 * channel.coverage),
                millilitres(channel.ml),
                range(channel.ml_low, channel.ml_high),
            ]);
        }
    }
    table.add_row([
        "total".to_owned(),
        String::new(),
        millilitres(estimate.total_ml),
        range(estimate.total_ml_low, estimate.total_ml_high),
    ]);
    table
}

/// A table whose first column is text and whose other columns are figures.
pub(crate) fn plain_table<T: Into<comfy_table::Row>>(header: T) -> Table {
    let mut table = Table::new();
    table.load_style(presets::UTF8_FULL_CONDENSED).set_header(header);
    for column in table.column_iter_mut().skip(1) {
        column.set_cell_alignment(CellAlignment::Right);
    }
    table
}

fn start_up_line(start_up: &wire::StartUp) -> String {
    format!(
        "start-up of the job: another {} ml ({}), {} ml ({}) with the picture",
        millilitres(start_up.ml),
        range(start_up.ml_low, start_up.ml_high),
        millilitres(start_up.with_picture_ml),
        range(start_up.with_picture_ml_low, start_up.with_picture_ml_high)
    )
}

fn limits_line(estimate: &wire::Estimate) -> String {
    format!(
        "highest load {:.1} of {:.1} ml/m², highest total coverage {:.0} %, limited on {:.1} % of \
         the area",
        estimate.highest_load_ml_per_m2,
        estimate.load_limit_ml_per_m2,
        100.0 * estimate.highest_total_area_coverage,
        100.0 * estimate.limited_share
    )
}

/// What an ink policy saved and cost, where it is not the set's own.
pub(crate) fn push_policy_effect(text: &mut String, estimate: &wire::Estimate) {
    let Some(effect) = &estimate.policy_effect else { return };
    let saved = effect.saved_percent.map_or_else(
        || "no ink to save".to_owned(),
        |percent| {
            let direction = if percent < 0.0 { "more" } else { "less" };
            format!("{:.1} % {direction} ink", percent.abs())
        },
    );
    let wire::Differences { mean, p95, max } = effect.delta_e_00;
    push_line(
        text,
        &format!(
            "on {} against its own black replacement ({} ml): {saved}; colours differ from its \
             print by ΔE00 {mean:.2} (p95 {p95:.2}, max {max:.2})",
            estimate.ink_set,
            millilitres(effect.usual_total_ml),
        ),
    );
}

/// Assumptions, one a line, warnings marked.
pub(crate) fn push_assumptions(text: &mut String, assumptions: &[wire::Assumption]) {
    for assumption in assumptions {
        let mark = if assumption.weight == "warning" { "! " } else { "- " };
        push_line(text, &format!("{mark}{}", assumption.text));
    }
}

/// Millilitres to a microlitre below ten, to a hundredth above.
#[must_use]
pub fn millilitres(ml: f64) -> String {
    if ml < 10.0 { format!("{ml:.3}") } else { format!("{ml:.2}") }
}

/// Both ends of a range.
#[must_use]
pub fn range(low: f64, high: f64) -> String {
    format!("{} – {}", millilitres(low), millilitres(high))
}

/// Adds a line.
pub(crate) fn push_line(text: &mut String, line: &str) {
    // Writing to a string can't fail.
    let _ = writeln!(text, "{line}");
}
