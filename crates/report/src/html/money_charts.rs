//! Charts about money and paper.

use maud::{Markup, PreEscaped, html};

use super::charts::{WIDTH, rounded, svg, text};
use crate::wire_monthly::PaybackDocument;
use crate::wire_quote::{QuoteDocument, RollBlock, RollUse};

/// Room left of bars and axes for labels, and right of them for figures.
const LABELS: f64 = 180.0;
const FIGURES: f64 = 110.0;
const ACCENT: &str = "#0d5660";
const PALE: &str = "#cfe0e0";
const WARM: &str = "#9a3b12";
const LINE: &str = "#20292e";

/// The prints as they lie on the roll, which runs from left to right. A stretch that repeats is
/// drawn once.
pub(super) fn roll(roll: &RollUse, description: &str) -> Markup {
    let drawn: f64 = roll.blocks.iter().map(|block| block.length_mm).sum();
    let scale = ((WIDTH - 90.0) / drawn.max(1.0)).min(240.0 / roll.width_mm.max(1.0));
    let (left, top) = (82.0, 8.0);
    let height = roll.width_mm * scale;
    let mut at = left;
    let places: Vec<(&RollBlock, f64)> = roll
        .blocks
        .iter()
        .map(|block| {
            let place = (block, at);
            at += block.length_mm * scale;
            place
        })
        .collect();
    svg(
        height + 34.0,
        description,
        &html! {
            (text(left - 8.0, top + height / 2.0, "end", "", &format!("{:.1} cm", roll.width_mm / 10.0)))
            rect x=(left) y=(top) width=(rounded(at - left)) height=(rounded(height))
                fill="#ffffff" stroke=(LINE) stroke-width="1" {}
            @for (block, at) in places { (stretch(block, at, top, scale, height)) }
        },
    )
}

fn stretch(block: &RollBlock, left: f64, top: f64, scale: f64, height: f64) -> Markup {
    html! {
        @for print in &block.prints {
            rect x=(rounded(left + print.along_mm * scale)) y=(rounded(top + print.across_mm * scale))
                width=(rounded(print.height_mm * scale)) height=(rounded(print.width_mm * scale))
                fill=(PALE) stroke=(ACCENT) stroke-width="1" {}
            @if print.height_mm * scale > 16.0 && print.width_mm * scale > 14.0 {
                (text(
                    left + (print.along_mm + print.height_mm / 2.0) * scale,
                    top + (print.across_mm + print.width_mm / 2.0) * scale + 4.5,
                    "middle",
                    "",
                    &(print.picture + 1).to_string(),
                ))
            }
        }
        @if block.repeats > 1 {
            (text(
                left + block.length_mm * scale / 2.0,
                top + height + 18.0,
                "middle",
                "quiet",
                &format!("× {}", block.repeats),
            ))
        }
    }
}

/// The lines of a quote that are not sums, as bars.
pub(super) fn lines(document: &QuoteDocument, description: &str) -> Markup {
    let lines: Vec<(&str, &str, f64)> = document
        .lines
        .iter()
        .filter(|line| !line.is_sum)
        .map(|line| (line.label.as_str(), line.amount.as_str(), number(&line.amount)))
        .collect();
    let most = lines.iter().map(|(_, _, amount)| amount.abs()).fold(0.0, f64::max);
    let scale = (WIDTH - LABELS - FIGURES) / most.max(f64::MIN_POSITIVE);
    let row = 24.0;
    #[expect(clippy::cast_precision_loss, reason = "a quote has few lines")]
    let top = |place: usize| 6.0 + row * place as f64;
    svg(
        top(lines.len()) + 6.0,
        description,
        &html! {
            @for (place, (label, written, amount)) in lines.iter().enumerate() {
                (text(0.0, top(place) + 14.0, "start", "", label))
                rect x=(LABELS) y=(rounded(top(place) + 3.0)) width=(rounded(amount.abs() * scale))
                    height="14" fill=(if *amount < 0.0 { WARM } else { ACCENT }) {}
                (text(
                    LABELS + amount.abs() * scale + 6.0,
                    top(place) + 14.0,
                    "start",
                    "",
                    &format!("{} {}", shown(written), document.currency),
                ))
            }
        },
    )
}

/// The digits of an amount with a minus sign in place of a hyphen.
pub(super) fn shown(amount: &str) -> String {
    amount.replace('-', "−")
}

/// The number that an amount's digits write; for drawing alone.
fn number(amount: &str) -> f64 {
    amount.parse().unwrap_or(0.0)
}

/// What a machine has earned by each month: a line for the expected saving and a band for its
/// range.
pub(super) fn balance(document: &PaybackDocument, description: &str) -> Markup {
    let months = months_shown(document);
    let price = number(&document.price);
    let saving = [&document.saving.low, &document.saving.expected, &document.saving.high]
        .map(|amount| number(amount));
    let ends = saving.map(|saving| saving * months - price);
    let frame = Frame::around(months, ends.into_iter().chain([0.0, -price]));
    let [low, expected, high] = ends.map(|end| frame.point(months, end));
    let start = frame.point(0.0, -price);
    let zero = frame.point(months, 0.0);
    svg(
        Frame::HEIGHT,
        description,
        &html! {
            polygon points={ (pair(start)) " " (pair(low)) " " (pair(high)) } fill=(PALE) {}
            line x1=(Frame::LEFT) y1=(rounded(zero.1)) x2=(rounded(zero.0)) y2=(rounded(zero.1))
                stroke=(LINE) stroke-width="1" {}
            line x1=(rounded(start.0)) y1=(rounded(start.1)) x2=(rounded(expected.0))
                y2=(rounded(expected.1)) stroke=(ACCENT) stroke-width="2.5" {}
            @for month in ticks(months) {
                @let (x, y) = frame.point(month, frame.lowest);
                line x1=(rounded(x)) y1=(rounded(y)) x2=(rounded(x)) y2=(rounded(y + 5.0))
                    stroke=(LINE) stroke-width="1" {}
                (text(x, y + 19.0, "middle", "quiet", &format!("{month:.0}")))
            }
            @for amount in [0.0, -price] {
                (text(
                    Frame::LEFT - 8.0,
                    frame.point(0.0, amount).1 + 4.5,
                    "end",
                    "quiet",
                    &shown(&format!("{amount:.0}")),
                ))
            }
            (text(expected.0, expected.1 - 8.0, "end", "", &shown(&format!("{:.0}", ends[1]))))
            (text(WIDTH - 8.0, Frame::HEIGHT - 4.0, "end", "quiet", "months"))
            (text(0.0, 14.0, "start", "quiet", &format!("balance, {}", document.month.currency)))
            @if let Some(paid) = document.time.months.filter(|paid| *paid <= months) {
                @let (x, y) = frame.point(paid, 0.0);
                circle cx=(rounded(x)) cy=(rounded(y)) r="4.5" fill=(ACCENT) {}
                (text(x, y - 10.0, "end", "", &format!("{paid:.1}")))
            }
        },
    )
}

/// Twice the time until the price is earned, or the horizon where it is never; ten years at most,
/// which is as long as such machines are kept (common practice, no source).
fn months_shown(document: &PaybackDocument) -> f64 {
    let horizon = f64::from(document.horizon_months);
    document.time.months.map_or(horizon, |months| 2.0 * months).max(horizon).min(120.0)
}

/// About six marks along the months, at whole years where there is room.
fn ticks(months: f64) -> Vec<f64> {
    let step = (months / 6.0).ceil().max(1.0);
    let step = if step > 6.0 { (step / 12.0).ceil() * 12.0 } else { step };
    std::iter::successors(Some(0.0), |month| Some(month + step))
        .take_while(|month| *month <= months)
        .collect()
}

/// From months and amounts to places of the chart.
struct Frame {
    months: f64,
    lowest: f64,
    highest: f64,
}

impl Frame {
    const LEFT: f64 = 84.0;
    const RIGHT: f64 = 700.0;
    const TOP: f64 = 30.0;
    const BOTTOM: f64 = 262.0;
    const HEIGHT: f64 = 300.0;

    fn around(months: f64, amounts: impl Iterator<Item = f64>) -> Self {
        let (lowest, highest) = amounts
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), it| {
                (low.min(it), high.max(it))
            });
        Self { months: months.max(1.0), lowest, highest: highest.max(lowest + 1.0) }
    }

    fn point(&self, month: f64, amount: f64) -> (f64, f64) {
        let across = month / self.months;
        let up = (amount - self.lowest) / (self.highest - self.lowest);
        (
            Self::LEFT + across * (Self::RIGHT - Self::LEFT),
            Self::BOTTOM - up * (Self::BOTTOM - Self::TOP),
        )
    }
}

fn pair((x, y): (f64, f64)) -> PreEscaped<String> {
    PreEscaped(format!("{x:.1},{y:.1}"))
}
