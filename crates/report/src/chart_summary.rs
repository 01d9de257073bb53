use charts::{Chart, Measured};

use crate::estimate_table::push_line;

/// What a chart holds, for reading.
#[must_use]
pub fn chart_summary(file: &str, chart: &Chart) -> String {
    let mut text = String::new();
    let title = chart.title.as_deref().unwrap_or("without a title");
    push_line(&mut text, &format!("{file}: {title}"));
    push_line(&mut text, &format!("form {}, {} patches", chart.form, chart.patches.len()));
    let measured = match chart.measured {
        Measured::Spectra => "spectra",
        Measured::Tristimulus => "tristimulus values under D50",
        Measured::Cielab => "CIELAB under D50",
    };
    let stated = |value: &Option<String>| value.clone().unwrap_or_else(|| "not stated".to_owned());
    let (condition, backing) = (stated(&chart.condition), stated(&chart.backing));
    push_line(&mut text, &format!("{measured}; condition {condition}; backing {backing}"));
    if chart.channels.is_empty() {
        push_line(&mut text, "no device values");
    }
    for (channel, name) in chart.channels.iter().enumerate() {
        push_line(&mut text, &format!("  {name:<12} at {} % ", steps(chart, channel)));
    }
    for notice in &chart.notices {
        push_line(&mut text, &format!("- {notice}"));
    }
    text
}

/// How many steps are named.
const NAMED: usize = 24;

/// The device values of a channel, rising.
fn steps(chart: &Chart, channel: usize) -> String {
    let of_channel = |patch: &charts::Patch| 100.0 * patch.device[channel].to_fraction();
    let mut values: Vec<f64> = chart.patches.iter().map(of_channel).collect();
    values.sort_by(f64::total_cmp);
    values.dedup();
    let named: Vec<String> = values
        .iter()
        .take(NAMED)
        .map(|value| format!("{}", (value * 100.0).round() / 100.0))
        .collect();
    let more = if values.len() > NAMED { ", …" } else { "" };
    format!("{}{more}", named.join(", "))
}
