use maud::{Markup, html};
use report::page_parts::{self, InkBar, millilitres, range, swatch};
use report::wire;

/// Every ink of every set, as bars and as a table.
pub(crate) fn inks(estimates: &[wire::Estimate]) -> Markup {
    let bars: Vec<InkBar<'_>> = estimates.iter().map(bar).collect();
    html! {
        section aria-labelledby="inks" {
            h2 id="inks" { "Each ink" }
            (page_parts::chart(
                &page_parts::ink_bars(&bars, "Millilitres of each ink set, stacked by ink"),
                "Millilitres by ink, in the predicted colour of each. The table has the figures.",
            ))
            (table(estimates))
        }
    }
}

fn bar(estimate: &wire::Estimate) -> InkBar<'_> {
    let used = estimate.channels.iter().filter(|channel| !channel.idle);
    let parts = used.map(|ink| (ink.name.as_str(), ink.srgb.as_deref(), ink.ml)).collect();
    InkBar { label: &estimate.ink_set, total_ml: estimate.total_ml, parts }
}

fn table(estimates: &[wire::Estimate]) -> Markup {
    let mut names: Vec<&wire::Channel> = Vec::new();
    for channel in estimates.iter().flat_map(|estimate| &estimate.channels) {
        if !names.iter().any(|known| known.name == channel.name) {
            names.push(channel);
        }
    }
    let header: Vec<String> = ["ml of".to_owned()]
        .into_iter()
        .chain(estimates.iter().map(|estimate| estimate.ink_set.clone()))
        .collect();
    let row = |ink: &&wire::Channel| -> Vec<Markup> {
        let head = html! { @if let Some(colour) = &ink.srgb { (swatch(colour)) } (ink.name) };
        [head].into_iter().chain(estimates.iter().map(|of| cell(of, &ink.name))).collect()
    };
    let mut rows: Vec<Vec<Markup>> = names.iter().map(row).collect();
    let total =
        |of: &wire::Estimate| millilitres_cell(of.total_ml, of.total_ml_low, of.total_ml_high);
    rows.push(
        [html! { strong { "total" } }].into_iter().chain(estimates.iter().map(total)).collect(),
    );
    page_parts::table(
        "Millilitres with the range that holds the truth in nine of ten cases",
        &header,
        &rows,
    )
}

fn cell(estimate: &wire::Estimate, ink: &str) -> Markup {
    match estimate.channels.iter().find(|channel| channel.name == ink) {
        None => html! { "–" span.unseen { " not in this set" } },
        Some(channel) if channel.idle => html! { "idle" },
        Some(channel) => millilitres_cell(channel.ml, channel.ml_low, channel.ml_high),
    }
}

fn millilitres_cell(ml: f64, low: f64, high: f64) -> Markup {
    html! { (millilitres(ml)) span.range { (range(low, high)) } }
}
