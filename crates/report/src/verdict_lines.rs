use comfy_table::Table;

use crate::estimate_table::push_line;
use crate::wire;

/// Adds the figures of the verdicts to a table with a column for each set.
pub(crate) fn add_rows(table: &mut Table, estimates: &[wire::Estimate]) {
    let verdicts: Vec<&wire::Verdict> =
        estimates.iter().filter_map(|estimate| estimate.verdict.as_ref()).collect();
    if verdicts.len() < estimates.len() {
        return;
    }
    let mut add = |label: &str, cell: &dyn Fn(&wire::Verdict) -> String| {
        let mut row = vec![label.to_owned()];
        row.extend(verdicts.iter().map(|verdict| cell(verdict)));
        table.add_row(row);
    };
    add("out of gamut", &|verdict| percent(verdict.out_of_gamut_share));
    add("ΔE00 mean", &|verdict| format!("{:.2}", verdict.against_intended.mean));
    add("… p95, max", &|verdict| ends(&verdict.against_intended));
    if verdicts.iter().all(|verdict| verdict.after_black_point_compensation.is_some()) {
        let after = |verdict: &wire::Verdict, cell: &dyn Fn(&wire::AfterCompensation) -> String| {
            verdict.after_black_point_compensation.as_ref().map_or_else(String::new, cell)
        };
        add("… compensated", &|verdict| {
            after(verdict, &|it| format!("{:.2}", it.differences.mean))
        });
        add("… p95, max", &|verdict| after(verdict, &|it| ends(&it.differences)));
    }
    add("D50 to A", &|verdict| {
        let mean = |inconstancy: wire::Inconstancy| format!("{:.2}", inconstancy.differences.mean);
        verdict.inconstancy_d50_to_a.map_or_else(String::new, mean)
    });
}

/// Adds the sentences, and where the lines were drawn.
pub(crate) fn push(text: &mut String, estimates: &[wire::Estimate], choice: Option<&wire::Choice>) {
    if let Some(choice) = choice {
        push_line(text, &choice.sentence);
    }
    let verdicts: Vec<&wire::Verdict> =
        estimates.iter().filter_map(|estimate| estimate.verdict.as_ref()).collect();
    for verdict in &verdicts {
        push_line(text, &verdict.sentence);
    }
    if let Some(verdict) = verdicts.first() {
        push_line(text, &format!("- {}", explained(verdict)));
    }
}

/// What the figures of a verdict mean, with its thresholds.
pub(crate) fn explained(verdict: &wire::Verdict) -> String {
    let wire::Thresholds { lost_above, holds_up_to, holds_all_but_up_to } = verdict.thresholds;
    format!(
        "ΔE00 against the picture's own colours, relative to the paper and without black-point \
         compensation; a colour is lost above {lost_above}; a set holds up to {} of the area \
         lost, and all but what is named up to {}",
        percent(holds_up_to),
        percent(holds_all_but_up_to)
    )
}

pub(crate) fn percent(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}

fn ends(differences: &wire::Differences) -> String {
    format!("{:.2}, {:.2}", differences.p95, differences.max)
}
