use maud::{Markup, html};

use super::comparison_page::Answered;
use super::{Section, parts};
use crate::{verdict_lines, wire};

/// What the figures rest on: assumptions, thresholds, models, files.
pub(crate) fn basis(document: &wire::Document, answered: &[Answered<'_>]) -> Section {
    Section {
        anchor: "basis".to_owned(),
        heading: "What this rests on".to_owned(),
        remark: Some("Everything that was assumed, and what it was made from.".to_owned()),
        body: html! {
            p {
                "Every figure is predicted by a model of ink on paper; nothing was printed or \
                 measured for it. A percentage over several pictures is the ratio of their totals, \
                 from unrounded figures."
            }
            @if let Some(verdict) = answered.iter().flat_map(|p| p.estimates).find_map(|e| e.verdict.as_ref()) {
                p { "Verdicts: " (verdict_lines::explained(verdict)) "." }
            }
            h3 { "Assumptions" }
            (assumptions(answered))
            h3 { "Ink sets and models" }
            (sets(answered))
            h3 { "Files" }
            (files(document))
        },
    }
}

/// Assumptions that all share once, others with the picture or set that they belong to.
fn assumptions(answered: &[Answered<'_>]) -> Markup {
    let mut said: Vec<(&wire::Assumption, Vec<String>)> = Vec::new();
    let estimates = answered
        .iter()
        .flat_map(|picture| picture.estimates.iter().map(|estimate| (picture.name, estimate)));
    for (name, estimate) in estimates.clone() {
        for assumption in &estimate.assumptions {
            let name = super::picture_section::short_name(name);
            match said.iter_mut().find(|(other, _)| *other == assumption) {
                Some((_, names)) if !names.contains(&name) => names.push(name),
                Some(_) => {}
                None => said.push((assumption, vec![name])),
            }
        }
    }
    let lines: Vec<(bool, String)> = said
        .iter()
        .map(|(assumption, names)| {
            let all = names.len() == answered.len();
            let text = if all {
                assumption.text.clone()
            } else {
                format!("{} ({})", assumption.text, names.join(", "))
            };
            (assumption.weight == "warning", text)
        })
        .collect();
    parts::notes(lines.iter().map(|(warning, text)| (*warning, text.as_str())))
}

fn sets(answered: &[Answered<'_>]) -> Markup {
    let header = ["ink set", "substrate", "print mode", "print model", "separation", "calibration"]
        .map(str::to_owned);
    let estimates = answered.first().map_or(&[][..], |picture| picture.estimates);
    let row = |estimate: &wire::Estimate| {
        [
            &estimate.ink_set,
            &estimate.substrate,
            &estimate.print_mode,
            &estimate.ids.model,
            &estimate.ids.separation,
            &estimate.ids.calibration,
        ]
        .map(|text| html! { (text) })
        .to_vec()
    };
    let rows: Vec<Vec<Markup>> = estimates.iter().map(row).collect();
    parts::words_table("What each set's figures were made with", &header, &rows)
}

/// Every file with the hash of its bytes.
fn files(document: &wire::Document) -> Markup {
    let header = ["file", "BLAKE3 hash of its bytes"].map(str::to_owned);
    let row = |file: &wire::File| {
        let hash = match &file.status {
            wire::Status::Estimated { content_hash, .. } => content_hash.as_str(),
            wire::Status::Failed { .. } => "no answer",
        };
        vec![html! { (file.file) }, html! { span.hash { (hash) } }]
    };
    let rows: Vec<Vec<Markup>> = document.files.iter().map(row).collect();
    parts::words_table("The files as they were given", &header, &rows)
}
