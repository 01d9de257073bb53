use maud::{Markup, html};

use super::charts;
use super::comparison_page::Answered;
use super::{Section, parts};
use crate::estimate_table::{millilitres, printed_size, range};
use crate::evidence::{EmbeddedPicture, PictureEvidence};
use crate::verdict_lines::percent;
use crate::wire;

/// The last part of a path, by which people know a file.
pub(crate) fn short_name(file: &str) -> String {
    file.rsplit(['/', '\\']).next().unwrap_or(file).to_owned()
}

/// The place of a picture on the page: its hash is unlike any other's, and the name keeps copies
/// of one file apart.
pub(crate) fn anchor(picture: &Answered<'_>) -> String {
    let plain = |letter: char| if letter.is_ascii_alphanumeric() { letter } else { '-' };
    let name: String = picture.name.chars().map(plain).collect();
    format!("picture-{}-{name}", picture.content_hash.get(..8).unwrap_or_default())
}

/// A verdict in a word, with a shape beside its colour.
#[must_use]
pub fn standing(verdict: &wire::Verdict) -> Markup {
    let word = match verdict.holding {
        "holds" => "holds",
        "holds_all_but" => "all but a part",
        _ => "loses",
    };
    html! { span class={ "standing " (verdict.holding) } { (word) } }
}

/// Every picture with its proofs and figures.
pub(crate) fn pictures(answered: &[Answered<'_>]) -> Section {
    let with_proofs = answered.iter().any(|picture| picture.evidence.is_some());
    Section {
        anchor: "pictures".to_owned(),
        heading: "The pictures".to_owned(),
        remark: Some(
            "Predicted prints under D50 with the paper as white, in sRGB; colours that sRGB lacks \
             are cut. Maps show where prints differ from the picture."
                .to_owned(),
        ),
        body: html! {
            @if with_proofs {
                div.key-figure { (parts::figure(&charts::difference_key(), "Colour differences in the maps.")) }
            }
            @for picture in answered { (one(picture)) }
        },
    }
}

/// Files that gave no answer.
pub(crate) fn failed(failed: &[(&str, &str)]) -> Section {
    Section {
        anchor: "failed".to_owned(),
        heading: "Files without an answer".to_owned(),
        remark: Some("They are in no total.".to_owned()),
        body: html! {
            @for (file, error) in failed {
                div.failed { p { strong { (short_name(file)) } br; (error) } }
            }
        },
    }
}

fn one(picture: &Answered<'_>) -> Markup {
    html! {
        div.picture id=(anchor(picture)) {
            h3 { (short_name(picture.name)) }
            @if let Some(first) = picture.estimates.first() { p { (printed_size(first)) } }
            @if let Some(choice) = picture.choice { p { strong { (capital(&choice.sentence)) "." } } }
            @if let Some(evidence) = picture.evidence { (proofs(picture.name, evidence)) }
            (figures(picture))
            @for saving in picture.savings { (saving_line(saving)) }
        }
    }
}

fn saving_line(saving: &wire::Saving) -> Markup {
    let wire::Saving { ink_set, against, percent } = saving;
    html! {
        @match percent {
            Some(p) if *p < 0.0 => p { (ink_set) " takes " (format!("{:.1}", -p)) " % more ink than " (against) "." },
            Some(p) => p { (ink_set) " takes " (format!("{p:.1}")) " % less ink than " (against) "." },
            None => p { (against) " takes no ink." },
        }
    }
}

/// The soft proofs and maps; between the first and the last set a slider, where there is script.
fn proofs(name: &str, evidence: &PictureEvidence) -> Markup {
    let name = short_name(name);
    html! {
        @if let [first, .., last] = &evidence.sets[..] {
            div.slide hidden data-left=(first.ink_set) data-right=(last.ink_set) {
                div.pair {}
                label {
                    (first.ink_set) " on the left, " (last.ink_set) " on the right"
                    input type="range" min="0" max="100" value="50";
                }
            }
        }
        div class={ "proofs of-" (evidence.sets.len()) } {
            (shown(&evidence.intended, &format!("{name} as it is"), "The picture"))
            @for set in &evidence.sets {
                div data-proof=(set.ink_set) {
                    (shown(&set.soft_proof, &format!("{name} as {} prints it", set.ink_set), &format!("On {}", set.ink_set)))
                }
            }
            @for (place, set) in evidence.sets.iter().enumerate() {
                div.first[place == 0] {
                    (shown(&set.difference, &format!("Map of the differences between {name} and its print on {}", set.ink_set), &format!("Off by, on {}", set.ink_set)))
                }
            }
            @for (place, between) in evidence.between.iter().enumerate() {
                div.first[place == 0] {
                    (shown(&between.difference, &format!("Map of the differences between the prints of {name} on {} and {}", between.ink_set, between.other), &format!("{} against {}", between.ink_set, between.other)))
                }
            }
        }
    }
}

fn shown(embedded: &EmbeddedPicture, alternative: &str, caption: &str) -> Markup {
    parts::figure(&picture(embedded, alternative), caption)
}

fn picture(embedded: &EmbeddedPicture, alternative: &str) -> Markup {
    html! {
        img src=(embedded.address) width=(embedded.width) height=(embedded.height) alt=(alternative);
    }
}

/// The figures of a picture, a column for each set.
fn figures(picture: &Answered<'_>) -> Markup {
    let mut header = vec![String::new()];
    header[0] = "figure".to_owned();
    header.extend(picture.estimates.iter().map(|estimate| estimate.ink_set.clone()));
    let knows_start_up = picture.estimates.iter().any(|estimate| estimate.start_up.is_some());
    let of_start_up = START_UP_FIGURES.iter().filter(|_| knows_start_up);
    let rows: Vec<Vec<Markup>> = FIGURES[..1]
        .iter()
        .chain(of_start_up)
        .chain(&FIGURES[1..])
        .map(|(label, cell)| {
            let mut row = vec![html! { (label) }];
            row.extend(picture.estimates.iter().map(cell));
            row
        })
        .collect();
    parts::table(&format!("Figures of {}", short_name(picture.name)), &header, &rows)
}

type Cell = fn(&wire::Estimate) -> Markup;

/// What the table of a picture says, row by row.
const FIGURES: &[(&str, Cell)] = &[
    ("ink", |estimate| {
        html! {
            (millilitres(estimate.total_ml)) " ml"
            span.range { (range(estimate.total_ml_low, estimate.total_ml_high)) }
        }
    }),
    ("verdict", |estimate| of_verdict(estimate, standing)),
    ("area out of gamut", |estimate| {
        of_verdict(estimate, |v| html! { (percent(v.out_of_gamut_share)) })
    }),
    ("what is lost", |estimate| of_verdict(estimate, lost)),
    ("where", |estimate| {
        of_verdict(estimate, |v| {
            let places =
                v.places.as_ref().map_or_else(String::new, |places| places.mostly.join(", "));
            html! { @if places.is_empty() { "spread out" } @else { (places) } }
        })
    }),
    ("ΔE00 against the picture, mean", |estimate| {
        of_verdict(estimate, |v| html! { (figure(v.against_intended.mean)) })
    }),
    ("… 95 % of the area within", |estimate| {
        of_verdict(estimate, |v| html! { (figure(v.against_intended.p95)) })
    }),
    ("… largest", |estimate| {
        of_verdict(estimate, |v| html! { (figure(v.against_intended.max)) })
    }),
    ("after black-point compensation, mean", |estimate| compensated(estimate, |d| d.mean)),
    ("… 95 % of the area within", |estimate| compensated(estimate, |d| d.p95)),
    ("… largest", |estimate| compensated(estimate, |d| d.max)),
    ("change from D50 to A, mean", |estimate| {
        of_verdict(estimate, |v| match v.inconstancy_d50_to_a {
            None => html! { "not known" },
            Some(change) if change.reliable => html! { (figure(change.differences.mean)) },
            Some(change) => html! { (figure(change.differences.mean)) " (unreliable: brightener)" },
        })
    }),
    ("ΔE00 from the other sets, mean", |estimate| {
        html! {
            @if estimate.against_sets.is_empty() { "–" }
            @for other in &estimate.against_sets {
                span.range { (other.ink_set) " " (figure(other.differences.mean)) ", at most " (figure(other.differences.max)) }
            }
        }
    }),
];

/// Rows after that of the ink, where a calibration knows them.
const START_UP_FIGURES: &[(&str, Cell)] = &[
    ("start-up of the job, another", |estimate| {
        of_start_up(estimate, |s| (s.ml, s.ml_low, s.ml_high))
    }),
    ("ink with start-up", |estimate| {
        of_start_up(estimate, |s| {
            (s.with_picture_ml, s.with_picture_ml_low, s.with_picture_ml_high)
        })
    }),
];

fn of_start_up(estimate: &wire::Estimate, of: fn(&wire::StartUp) -> (f64, f64, f64)) -> Markup {
    estimate.start_up.as_ref().map(of).map_or_else(
        || html! { "not known" },
        |(ml, low, high)| html! { (millilitres(ml)) " ml" span.range { (range(low, high)) } },
    )
}

fn of_verdict(estimate: &wire::Estimate, cell: fn(&wire::Verdict) -> Markup) -> Markup {
    estimate.verdict.as_ref().map_or_else(|| html! { "–" }, cell)
}

fn compensated(estimate: &wire::Estimate, of: fn(&wire::Differences) -> f64) -> Markup {
    let after = estimate.verdict.as_ref().and_then(|v| v.after_black_point_compensation);
    after.map_or_else(|| html! { "–" }, |after| html! { (figure(of(&after.differences))) })
}

/// Regions that are lost, the largest three.
fn lost(verdict: &wire::Verdict) -> Markup {
    html! {
        @if verdict.lost.is_empty() { "nothing" }
        @for lost in verdict.lost.iter().take(3) {
            span.range { (lost.region) " " (percent(lost.share)) }
        }
    }
}

fn figure(value: f64) -> String {
    format!("{value:.2}")
}

fn capital(sentence: &str) -> String {
    let mut letters = sentence.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
