use maud::{Markup, html};
use report::page_parts::{millilitres, range, standing};
use report::wire;

use super::frame::capital;

/// A set's answer.
pub(crate) struct SetAnswer<'a> {
    /// The set's title.
    pub(crate) title: &'a str,
    pub(crate) estimate: &'a wire::Estimate,
    /// Its price, or why there is none.
    pub(crate) price: Result<Price, String>,
}

/// What the prints cost a customer.
pub(crate) struct Price {
    /// With tax, of all prints.
    pub(crate) total: String,
    pub(crate) currency: String,
    /// What it is made of and how far the ink's range moves it.
    pub(crate) notes: Vec<String>,
}

/// The first thing that is read: price, ink and verdict of each set.
pub(crate) fn answers(
    document: &wire::Document,
    sets: &[SetAnswer<'_>],
    advice: &[String],
) -> Markup {
    html! {
        section.answers id="answers" aria-labelledby="answers-heading" data-spoken=(spoken(sets)) {
            h2.unseen id="answers-heading" { "Price and ink" }
            @let lead = lead(document);
            @if !lead.is_empty() { p.answer { (lead.join(" ")) } }
            @for advice in advice { div.advice { p { (advice) } } }
            ul.sets { @for set in sets { li { (set.markup()) } } }
        }
    }
}

/// What stands in place of the answers where there are none.
pub(crate) fn no_answers(reason: &str) -> Markup {
    let reason = capital(reason);
    html! {
        section.answers id="answers" aria-labelledby="answers-heading" data-spoken=(reason) {
            h2.unseen id="answers-heading" { "Price and ink" }
            div.advice { p { strong { "No price yet. " } (reason) } }
        }
    }
}

/// Which set the picture needs, and what the smallest one saves.
fn lead(document: &wire::Document) -> Vec<String> {
    let Some(wire::Status::Estimated { savings, choice, .. }) =
        document.files.first().map(|file| &file.status)
    else {
        return Vec::new();
    };
    let choice = choice.iter().map(|choice| capital(&choice.sentence));
    let saving = savings.iter().filter_map(|saving| {
        let percent = saving.percent?;
        let word = if percent < 0.0 { "more" } else { "less" };
        let wire::Saving { ink_set, against, .. } = saving;
        Some(format!(
            "{} takes {:.1} % {word} ink than {against}.",
            capital_word(ink_set),
            percent.abs()
        ))
    });
    choice.chain(saving.take(1)).collect()
}

fn capital_word(word: &str) -> String {
    capital(word).trim_end_matches('.').to_owned()
}

/// What a screen reader says when the answer has changed.
fn spoken(sets: &[SetAnswer<'_>]) -> String {
    let set = |set: &SetAnswer<'_>| {
        let price = match &set.price {
            Ok(price) => format!("{} {}, ", price.total, price.currency),
            Err(_) => String::new(),
        };
        let ml = millilitres(set.estimate.total_ml);
        format!("{}: {price}{ml} millilitres.", set.estimate.ink_set)
    };
    sets.iter().map(set).collect::<Vec<_>>().join(" ")
}

impl SetAnswer<'_> {
    fn markup(&self) -> Markup {
        let wire::Estimate { total_ml, total_ml_low, total_ml_high, verdict, .. } = self.estimate;
        html! {
            h3 { (capital_word(&self.estimate.ink_set)) }
            p.title { (self.title) }
            @match &self.price {
                Ok(price) => {
                    span.price data-price { (price.total) " " small { (price.currency) } }
                    @for note in &price.notes { span.under { (note) } }
                },
                Err(reason) => p.hint { "No price: " (capital(reason)) },
            }
            span.takes data-ml { (millilitres(*total_ml)) " ml of ink" }
            span.under { "expected between " (range(*total_ml_low, *total_ml_high)) " ml" }
            @if let Some(verdict) = verdict {
                p.sentence { (standing(verdict)) " " (capital(&verdict.sentence)) }
            }
        }
    }
}
