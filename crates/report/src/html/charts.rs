//! Charts as SVG: plain shapes with names, so that colour is never the only way to read them.

use maud::{Markup, PreEscaped, html};

use crate::estimate_table::millilitres;
use crate::wire;

/// A bar of a stacked chart.
pub struct InkBar<'a> {
    /// What the bar is of.
    pub label: &'a str,
    /// What stands behind it.
    pub total_ml: f64,
    /// Its parts: name, colour, millilitres.
    pub parts: Vec<(&'a str, Option<&'a str>, f64)>,
}

/// Width of a chart in its own units; it is scaled to the page.
pub(super) const WIDTH: f64 = 720.0;
/// Room for labels left of bars and for figures right of them.
const LABELS: f64 = 110.0;
const FIGURES: f64 = 86.0;
const BAR: f64 = 34.0;
const GAP: f64 = 20.0;
/// Room of a letter in the name of a part, and beside the name; our choice for letters of 12 units.
const LETTER: f64 = 7.0;
const BESIDE_NAME: f64 = 10.0;
/// Colour of an ink whose colour nobody predicts.
const UNKNOWN: &str = "#8a8f8c";

/// Bars of millilitres, stacked by ink in the inks' predicted colours.
#[must_use]
pub fn ink_bars(bars: &[InkBar<'_>], description: &str) -> Markup {
    let most = bars.iter().map(|bar| bar.total_ml).fold(0.0, f64::max).max(f64::MIN_POSITIVE);
    let scale = (WIDTH - LABELS - FIGURES) / most;
    let height = bar_top(bars.len());
    svg(
        height,
        description,
        &html! {
            @for (place, bar) in bars.iter().enumerate() {
                (text(0.0, bar_middle(place), "start", "", bar.label))
                @for (part, left, width) in stacked(bar, scale) {
                    (ink_part(part, left, width, bar_top(place)))
                }
                (text(
                    LABELS + bar.total_ml * scale + 8.0,
                    bar_middle(place),
                    "start",
                    "",
                    &format!("{} ml", millilitres(bar.total_ml)),
                ))
            }
        },
    )
}

/// Name, colour and millilitres of an ink's part of a bar.
type InkPart<'a> = (&'a str, Option<&'a str>, f64);

/// Parts with their left ends and widths.
fn stacked<'a>(bar: &'a InkBar<'a>, scale: f64) -> Vec<(&'a InkPart<'a>, f64, f64)> {
    let mut left = LABELS;
    let mut places = Vec::new();
    for part in &bar.parts {
        let width = part.2 * scale;
        places.push((part, left, width));
        left += width;
    }
    places
}

fn ink_part(part: &InkPart<'_>, left: f64, width: f64, top: f64) -> Markup {
    let (name, colour, ml) = *part;
    let colour = colour.unwrap_or(UNKNOWN);
    html! {
        g {
            title { (name) ", " (millilitres(ml)) " ml" }
            rect x=(rounded(left)) y=(rounded(top)) width=(rounded(width)) height=(BAR)
                fill=(colour) stroke="#20292e" stroke-width="0.6" {}
            @if width > room_of(name) {
                text x=(rounded(left + width / 2.0)) y=(rounded(top + BAR / 2.0 + 4.0))
                    text-anchor="middle" font-size="12" class=(letters_on(colour)) { (name) }
            }
        }
    }
}

/// Width of a part from which its name stands in it; the table beside the chart has the other names.
fn room_of(name: &str) -> f64 {
    name.chars().map(|_| LETTER).sum::<f64>() + BESIDE_NAME
}

/// Bars of savings in percent, from a line: to the right less ink, to the left more.
pub(crate) fn saving_bars(bars: &[(String, Option<f64>)], description: &str) -> Markup {
    let percents = || bars.iter().filter_map(|(_, percent)| *percent);
    let (most, least) = (percents().fold(0.0, f64::max), percents().fold(0.0, f64::min));
    let (name_room, row) = (200.0, 24.0);
    // Bars to the left need room for their figures, and only where there are any.
    let left_room = if least < 0.0 { FIGURES } else { 0.0 };
    let scale = (WIDTH - name_room - FIGURES - left_room) / (most - least).max(1.0);
    let middle = name_room + left_room - least * scale;
    #[expect(clippy::cast_precision_loss, reason = "a page shows few thousand bars")]
    let top = |place: usize| 8.0 + row * place as f64;
    let height = top(bars.len()) + 8.0;
    svg(
        height,
        description,
        &html! {
            line x1=(middle) y1="0" x2=(middle) y2=(height) stroke="#20292e" stroke-width="1" {}
            @for (place, (name, percent)) in bars.iter().enumerate() {
                (text(0.0, top(place) + 14.0, "start", "", &shortened(name, 28)))
                @if let Some(percent) = percent { (saving_bar(*percent, middle, scale, top(place))) }
            }
        },
    )
}

fn saving_bar(percent: f64, middle: f64, scale: f64, top: f64) -> Markup {
    let length = percent.abs() * scale;
    let saves = percent >= 0.0;
    let left = if saves { middle } else { middle - length };
    let colour = if saves { "#0d5660" } else { "#9a3b12" };
    let (at, anchor) =
        if saves { (middle + length + 6.0, "start") } else { (middle - length - 6.0, "end") };
    html! {
        rect x=(rounded(left)) y=(rounded(top + 3.0)) width=(rounded(length)) height="14" fill=(colour) {}
        (text(at, top + 14.0, anchor, "", &signed_percent(percent)))
    }
}

/// A percentage with its sign; less ink is positive.
pub(crate) fn signed_percent(percent: f64) -> String {
    let sign = if percent < 0.0 { "−" } else { "" };
    format!("{sign}{:.1} %", percent.abs())
}

/// How much of the area carries how much ink, up to the limit, for several sets.
pub(crate) fn load_histogram(sets: &[(&str, &wire::LoadHistogram)], description: &str) -> Markup {
    let highest = sets.iter().flat_map(|(_, loads)| &loads.shares).copied().fold(0.0, f64::max);
    let (row, left, right) = (92.0, LABELS, 16.0);
    #[expect(clippy::cast_precision_loss, reason = "a comparison has few sets")]
    let top = |place: usize| row * place as f64;
    svg(
        top(sets.len()) + 4.0,
        description,
        &html! {
            @for (place, (name, loads)) in sets.iter().enumerate() {
                (text(0.0, top(place) + 46.0, "start", "", name))
                (histogram_row(loads, highest, left, WIDTH - left - right, top(place)))
            }
        },
    )
}

fn histogram_row(
    loads: &wire::LoadHistogram,
    highest: f64,
    left: f64,
    width: f64,
    top: f64,
) -> Markup {
    let (tall, base) = (56.0, top + 66.0);
    #[expect(clippy::cast_precision_loss, reason = "a histogram has 20 steps")]
    let steps = loads.shares.len().max(1) as f64;
    let step = width / steps;
    let limit = loads.step_ml_per_m2 * steps;
    let mut at = left;
    let bars: Vec<(f64, f64)> = loads
        .shares
        .iter()
        .map(|share| {
            let bar = (at, tall * share / highest.max(f64::MIN_POSITIVE));
            at += step;
            bar
        })
        .collect();
    html! {
        @for (at, height) in bars {
            rect x=(rounded(at + 0.8)) y=(rounded(base - height)) width=(rounded(step - 1.6))
                height=(rounded(height)) fill="#2f7f88" {}
        }
        line x1=(left) y1=(base) x2=(rounded(left + width)) y2=(base) stroke="#20292e" stroke-width="1" {}
        line x1=(rounded(left + width)) y1=(rounded(top + 6.0)) x2=(rounded(left + width)) y2=(base)
            stroke="#9a3b12" stroke-width="2" {}
        (text(left, base + 15.0, "start", "quiet", "0"))
        (text(left + width / 2.0, base + 15.0, "middle", "quiet", &format!("{:.0} ml/m²", limit / 2.0)))
        (text(left + width, base + 15.0, "end", "quiet", &format!("limit {limit:.0} ml/m²")))
    }
}

/// The scale of the maps of colour differences.
#[must_use]
pub fn difference_key() -> Markup {
    let stops = proof::maps::DIFFERENCE_SCALE.stops;
    let step = 90.0;
    #[expect(clippy::cast_precision_loss, reason = "a scale has few stops")]
    let at = |place: usize| 4.0 + step * place as f64;
    html! {
        svg viewBox="0 0 560 44" role="img" aria-label="Scale of the maps: from pale for a ΔE00 of 0 to dark for 12 and more"
            class="key" {
            defs { linearGradient id="difference-scale" {
                @for (place, (_, [red, green, blue])) in stops.iter().enumerate() {
                    stop offset={ (20 * place) "%" } stop-color={ "rgb(" (red) "," (green) "," (blue) ")" } {}
                }
            } }
            rect x="4" y="2" width="450" height="16" fill="url(#difference-scale)" stroke="#20292e" stroke-width="0.6" {}
            @for (place, (value, _)) in stops.iter().enumerate() {
                (text(at(place), 36.0, if place == 0 { "start" } else { "middle" }, "", &format!("{value:.0}")))
            }
            (text(470.0, 15.0, "start", "", "ΔE00"))
        }
    }
}

pub(super) fn svg(height: f64, description: &str, content: &Markup) -> Markup {
    html! {
        svg viewBox={ "0 0 " (WIDTH) " " (rounded(height)) } role="img" aria-label=(description) {
            (content)
        }
    }
}

pub(super) fn text(x: f64, y: f64, anchor: &str, class: &str, content: &str) -> Markup {
    html! {
        text x=(rounded(x)) y=(rounded(y)) text-anchor=(anchor) font-size="13"
            class=[(!class.is_empty()).then_some(class)] { (content) }
    }
}

fn bar_middle(place: usize) -> f64 {
    bar_top(place) + BAR / 2.0 + 4.5
}

#[expect(clippy::cast_precision_loss, reason = "a comparison has few sets")]
fn bar_top(place: usize) -> f64 {
    4.0 + (BAR + GAP) * place as f64
}

pub(super) fn rounded(value: f64) -> PreEscaped<String> {
    PreEscaped(format!("{value:.1}"))
}

/// Dark or light letters, whichever stand out on an ink's colour.
fn letters_on(colour: &str) -> &'static str {
    let sample = |place: usize| {
        colour.get(place..place + 2).and_then(|hex| u32::from_str_radix(hex, 16).ok()).unwrap_or(0)
    };
    // Weights of luma; half-way is where both letters stand out alike.
    let light = 3 * sample(1) + 6 * sample(3) + sample(5);
    if light > 1400 { "on-light" } else { "on-dark" }
}

/// A name cut in the middle, where it is too long for a chart.
pub(crate) fn shortened(name: &str, most: usize) -> String {
    let letters: Vec<char> = name.chars().collect();
    if letters.len() <= most {
        return name.to_owned();
    }
    let half = (most - 1) / 2;
    let (head, tail) = (&letters[..half], &letters[letters.len() - half..]);
    head.iter().chain(['…'].iter()).chain(tail).collect()
}
