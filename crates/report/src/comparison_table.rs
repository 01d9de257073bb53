use comfy_table::Table;

use crate::estimate_table::{
    millilitres, plain_table, printed_size, push_line, push_policy_effect, range,
};
use crate::{verdict_lines, wire};

/// A table for each answered file with a column for each ink set, then all files together.
pub(crate) fn tables(document: &wire::Document, ink_sets: &[String]) -> String {
    let mut text = String::new();
    let mut answered = 0;
    for file in &document.files {
        if let wire::Status::Estimated { estimates, savings, choice, .. } = &file.status {
            answered += 1;
            let size = estimates.first().map(printed_size).unwrap_or_default();
            push_line(&mut text, &format!("{}, {size}", file.file));
            push_line(&mut text, &picture_table(estimates, ink_sets).to_string());
            push_savings(&mut text, savings);
            for estimate in estimates {
                push_policy_effect(&mut text, estimate);
            }
            verdict_lines::push(&mut text, estimates, choice.as_ref());
            push_common_assumptions(&mut text, estimates);
            text.push('\n');
        }
    }
    if answered > 1 {
        push_line(&mut text, &format!("all {answered} pictures together"));
        push_line(&mut text, &totals_table(document, ink_sets).to_string());
        push_savings(&mut text, &document.savings);
        text.push('\n');
    }
    push_line(&mut text, wire::DISCLAIMER);
    text
}

fn picture_table(estimates: &[wire::Estimate], ink_sets: &[String]) -> Table {
    let mut table = plain_table(header("ml of", ink_sets));
    for ink in inks(estimates) {
        let mut row = vec![ink.to_owned()];
        row.extend(estimates.iter().map(|estimate| cell(estimate, ink)));
        table.add_row(row);
    }
    let mut total = vec!["total".to_owned()];
    total.extend(estimates.iter().map(|estimate| millilitres(estimate.total_ml)));
    table.add_row(total);
    let mut ranges = vec!["range".to_owned()];
    ranges.extend(estimates.iter().map(|e| range(e.total_ml_low, e.total_ml_high)));
    table.add_row(ranges);
    verdict_lines::add_rows(&mut table, estimates);
    table
}

fn totals_table(document: &wire::Document, ink_sets: &[String]) -> Table {
    let mut table = plain_table(header("ml", ink_sets));
    let mut total = vec!["total".to_owned()];
    total.extend(document.totals.iter().map(|total| millilitres(total.total_ml)));
    table.add_row(total);
    let mut ranges = vec!["range".to_owned()];
    ranges.extend(document.totals.iter().map(|t| range(t.total_ml_low, t.total_ml_high)));
    table.add_row(ranges);
    table
}

fn header(first: &str, ink_sets: &[String]) -> Vec<String> {
    let mut header = vec![first.to_owned()];
    header.extend(ink_sets.iter().cloned());
    header
}

/// All inks of all sets, in the order in which they first occur.
fn inks(estimates: &[wire::Estimate]) -> Vec<&str> {
    let mut names = Vec::new();
    for channel in estimates.iter().flat_map(|estimate| &estimate.channels) {
        if !names.contains(&channel.name.as_str()) {
            names.push(channel.name.as_str());
        }
    }
    names
}

/// The millilitres of an ink, "idle" or nothing where the set lacks it.
fn cell(estimate: &wire::Estimate, ink: &str) -> String {
    match estimate.channels.iter().find(|channel| channel.name == ink) {
        None => String::new(),
        Some(channel) if channel.idle => "idle".to_owned(),
        Some(channel) => millilitres(channel.ml),
    }
}

fn push_savings(text: &mut String, savings: &[wire::Saving]) {
    for wire::Saving { ink_set, against, percent } in savings {
        let line = match percent {
            None => format!("{ink_set} against {against}: undefined, {against} takes no ink"),
            Some(p) if *p < 0.0 => {
                format!("{ink_set} takes {:.1} % more ink than {against}", -p)
            }
            Some(p) => format!("{ink_set} takes {p:.1} % less ink than {against}"),
        };
        push_line(text, &line);
    }
}

/// Assumptions said once where every set shares them, and by set where not.
fn push_common_assumptions(text: &mut String, estimates: &[wire::Estimate]) {
    let mut said: Vec<&wire::Assumption> = Vec::new();
    for estimate in estimates {
        for assumption in &estimate.assumptions {
            if !said.contains(&assumption) {
                let mark = if assumption.weight == "warning" { "!" } else { "-" };
                push_line(text, &format!("{mark} {}", assumption.text));
                said.push(assumption);
            }
        }
    }
}
