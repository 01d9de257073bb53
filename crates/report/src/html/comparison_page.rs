use maud::{Markup, html};

use super::charts::{self, InkBar};
use super::parts::{self, Fact};
use super::{Page, Section, basis_section, picture_section, policy_section};
use crate::estimate_table::{millilitres, range};
use crate::verdict_lines::percent;
use crate::{PictureEvidence, wire};

/// What a page says of itself, as whoever mails it wants.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Letter {
    /// Who sends it.
    pub sender: Option<String>,
    /// The title.
    pub title: Option<String>,
    /// The date, as it is to be read.
    pub date: Option<String>,
    /// A line that must be seen before anything else.
    pub note: Option<String>,
}

/// An answered file with what is known of it.
pub(crate) struct Answered<'a> {
    pub(crate) name: &'a str,
    pub(crate) content_hash: &'a str,
    pub(crate) estimates: &'a [wire::Estimate],
    pub(crate) savings: &'a [wire::Saving],
    pub(crate) choice: Option<&'a wire::Choice>,
    pub(crate) evidence: Option<&'a PictureEvidence>,
}

/// The page of a comparison.
pub(crate) fn comparison_page(
    document: &wire::Document,
    letter: &Letter,
    evidence: &[Option<PictureEvidence>],
) -> String {
    let answered = answered(document, evidence);
    let failed = failed(document);
    let mut sections = Vec::new();
    if !answered.is_empty() {
        sections.push(needs_section(&answered));
        sections.push(ink_section(document));
        sections.push(saving_section(document, &answered));
        sections.extend(policy_section::policy(&answered));
        sections.push(load_section(&answered));
        sections.push(picture_section::pictures(&answered));
    }
    if !failed.is_empty() {
        sections.push(picture_section::failed(&failed));
    }
    sections.push(basis_section::basis(document, &answered));
    let kind = match &letter.date {
        Some(date) => format!("Comparison of ink sets, {date}"),
        None => "Comparison of ink sets".to_owned(),
    };
    Page {
        sender: letter.sender.as_deref(),
        kind: &kind,
        title: letter.title.as_deref().unwrap_or("Which ink set do these pictures need?"),
        lead: lead(document, letter, answered.len(), failed.len()),
        sections,
        colophon: html! { p { "Made with " (document.program) ", form " (document.version) "." } },
    }
    .into_document()
}

fn answered<'a>(
    document: &'a wire::Document,
    evidence: &'a [Option<PictureEvidence>],
) -> Vec<Answered<'a>> {
    let files = document.files.iter().enumerate();
    files
        .filter_map(|(place, file)| match &file.status {
            wire::Status::Failed { .. } => None,
            wire::Status::Estimated { content_hash, estimates, savings, choice } => {
                Some(Answered {
                    name: &file.file,
                    content_hash,
                    estimates,
                    savings,
                    choice: choice.as_ref(),
                    evidence: evidence.get(place).and_then(Option::as_ref),
                })
            }
        })
        .collect()
}

fn failed(document: &wire::Document) -> Vec<(&str, &str)> {
    document
        .files
        .iter()
        .filter_map(|file| match &file.status {
            wire::Status::Failed { error } => Some((file.file.as_str(), error.as_str())),
            wire::Status::Estimated { .. } => None,
        })
        .collect()
}

/// The first screen.
fn lead(document: &wire::Document, letter: &Letter, answered: usize, failed: usize) -> Markup {
    html! {
        @if let Some(note) = &letter.note { p.invented { (note) } }
        p.answer {
            @for sentence in answers(document, answered) { (sentence) " " }
            @if answered == 0 { "No picture could be compared. " }
            @if failed > 0 { (counted(failed, "file")) " gave no answer, as told below." }
        }
        (parts::facts(&set_facts(document, answered)))
    }
}

/// The answers in plain sentences.
fn answers(document: &wire::Document, pictures: usize) -> Vec<String> {
    let mut sentences = Vec::new();
    if let [.., last] = &document.savings[..]
        && let Some(saving) = document
            .savings
            .iter()
            .find(|saving| {
                document.totals.first().is_some_and(|first| first.ink_set == saving.ink_set)
                    && document.totals.last().is_some_and(|last| last.ink_set == saving.against)
            })
            .or(Some(last))
        && let Some(percent) = saving.percent
    {
        let more = if percent < 0.0 { "more" } else { "less" };
        sentences.push(format!(
            "For {} {} takes {:.1} % {more} ink than {}.",
            counted(pictures, "picture"),
            saving.ink_set,
            percent.abs(),
            saving.against
        ));
    }
    let needing = |file: &&wire::File| matches!(&file.status, wire::Status::Estimated { choice: Some(choice), .. } if choice.kind == "needs_larger");
    match document.files.iter().filter(needing).count() {
        0 if pictures > 0 => {
            sentences.push("No picture's colours need a larger set than the smallest.".to_owned());
        }
        0 => {}
        needing => sentences.push(format!(
            "{} {} a larger set than the smallest for {} colours.",
            counted(needing, "picture"),
            if needing == 1 { "needs" } else { "need" },
            if needing == 1 { "its" } else { "their" },
        )),
    }
    sentences.extend(rest_sentence(document));
    sentences
}

fn rest_sentence(document: &wire::Document) -> Option<String> {
    let rest = document.without_need_of_larger.as_ref()?;
    let percent = rest.saving.percent?;
    let (verb, amount) = if percent < 0.0 { ("cost", "more ink") } else { ("save", "of the ink") };
    Some(format!(
        "The {} that {} not would {verb} {:.1} % {amount} on {} against {}.",
        counted(rest.pictures, "picture"),
        if rest.pictures == 1 { "does" } else { "do" },
        percent.abs(),
        rest.saving.ink_set,
        rest.saving.against
    ))
}

fn set_facts(document: &wire::Document, pictures: usize) -> Vec<Fact> {
    let fact = |total: &wire::Total| Fact {
        label: total.ink_set.clone(),
        value: format!("{} ml", millilitres(total.total_ml)),
        note: Some(format!(
            "{} ml. Of {} it holds the colours of {}, all but a part of {}, and loses those of {}.",
            range(total.total_ml_low, total.total_ml_high),
            counted(pictures, "picture"),
            total.holds,
            total.holds_all_but,
            total.loses
        )),
    };
    document.totals.iter().map(fact).collect()
}

/// A number with its noun.
pub(crate) fn counted(number: usize, noun: &str) -> String {
    if number == 1 { format!("{number} {noun}") } else { format!("{number} {noun}s") }
}

/// Which set each picture needs.
fn needs_section(answered: &[Answered<'_>]) -> Section {
    let sets: Vec<&str> = answered[0].estimates.iter().map(|e| e.ink_set.as_str()).collect();
    let mut header = vec!["picture".to_owned()];
    header.extend(sets.iter().map(|set| (*set).to_owned()));
    header.push("needs".to_owned());
    let rows: Vec<Vec<Markup>> = answered.iter().map(needs_row).collect();
    Section {
        anchor: "needs".to_owned(),
        heading: "Which set each picture needs".to_owned(),
        remark: Some(
            "Area whose colours the set can't print, and what follows from it.".to_owned(),
        ),
        body: parts::table("Share of the area outside each set's gamut", &header, &rows),
    }
}

fn needs_row(picture: &Answered<'_>) -> Vec<Markup> {
    let mut row = vec![
        html! { a href={ "#" (picture_section::anchor(picture)) } { (picture_section::short_name(picture.name)) } },
    ];
    for estimate in picture.estimates {
        row.push(html! {
            @if let Some(verdict) = &estimate.verdict {
                (percent(verdict.out_of_gamut_share))
                span.range { (picture_section::standing(verdict)) }
            }
        });
    }
    row.push(html! {
        @if let Some(choice) = picture.choice { (needed(choice)) }
    });
    row
}

/// What a choice says in a few words.
pub(crate) fn needed(choice: &wire::Choice) -> String {
    match choice.kind {
        "enough" => format!("{} is enough", choice.ink_set),
        "needs_larger" => format!("needs {}", choice.ink_set),
        _ => format!("{}: larger gains little", choice.ink_set),
    }
}

/// All ink, by set and ink.
fn ink_section(document: &wire::Document) -> Section {
    let bars: Vec<InkBar<'_>> = document.totals.iter().map(total_bar).collect();
    let names = ink_names(document);
    let mut header = vec!["ml of".to_owned()];
    header.extend(document.totals.iter().map(|total| total.ink_set.clone()));
    let mut rows: Vec<Vec<Markup>> = names.iter().map(|name| ink_row(document, name)).collect();
    let mut total = vec![html! { strong { "total" } }];
    total.extend(document.totals.iter().map(|total| {
        html! {
            strong { (millilitres(total.total_ml)) }
            span.range { (range(total.total_ml_low, total.total_ml_high)) }
        }
    }));
    rows.push(total);
    let chart = charts::ink_bars(
        &bars,
        "Millilitres by ink set, stacked by ink; the table below has the figures",
    );
    Section {
        anchor: "ink".to_owned(),
        heading: "Ink".to_owned(),
        remark: Some("All pictures together, in the inks' predicted colours. Ranges hold in nine of ten cases.".to_owned()),
        body: html! {
            (parts::chart(&chart, "Millilitres of each ink. Narrow parts are named in the table."))
            (parts::table("Millilitres of each ink, all pictures together", &header, &rows))
        },
    }
}

fn total_bar(total: &wire::Total) -> InkBar<'_> {
    let printing = total.channels.iter().filter(|channel| !channel.idle);
    InkBar {
        label: &total.ink_set,
        total_ml: total.total_ml,
        parts: printing.map(|ink| (ink.name.as_str(), ink.srgb.as_deref(), ink.ml)).collect(),
    }
}

/// All inks of all sets, in the order in which they first occur.
fn ink_names(document: &wire::Document) -> Vec<&str> {
    let mut names = Vec::new();
    for channel in document.totals.iter().flat_map(|total| &total.channels) {
        if !names.contains(&channel.name.as_str()) {
            names.push(channel.name.as_str());
        }
    }
    names
}

fn ink_row(document: &wire::Document, name: &str) -> Vec<Markup> {
    let inks: Vec<Option<&wire::TotalChannel>> = document
        .totals
        .iter()
        .map(|total| total.channels.iter().find(|channel| channel.name == name))
        .collect();
    let colour = inks.iter().flatten().find_map(|ink| ink.srgb.as_deref());
    let mut row = vec![html! {
        @if let Some(colour) = colour { (parts::swatch(colour)) }
        (name)
    }];
    row.extend(inks.iter().map(|ink| match ink {
        None => html! { "–" },
        Some(ink) if ink.idle => html! { "idle" },
        Some(ink) => html! { (millilitres(ink.ml)) },
    }));
    row
}

/// The saving of the first set against the last, by picture.
fn saving_section(document: &wire::Document, answered: &[Answered<'_>]) -> Section {
    let ends = |savings: &[wire::Saving]| {
        let first = document.totals.first().map(|total| total.ink_set.clone());
        let last = document.totals.last().map(|total| total.ink_set.clone());
        let between = |saving: &&wire::Saving| {
            Some(&saving.ink_set) == first.as_ref() && Some(&saving.against) == last.as_ref()
        };
        savings.iter().find(between).and_then(|saving| saving.percent)
    };
    let mut bars: Vec<(String, Option<f64>)> = answered
        .iter()
        .map(|picture| (picture_section::short_name(picture.name), ends(picture.savings)))
        .collect();
    bars.push(("all pictures together".to_owned(), ends(&document.savings)));
    let names: Vec<&str> = document.totals.iter().map(|total| total.ink_set.as_str()).collect();
    let [first, .., last] = names[..] else {
        return Section {
            anchor: "saving".to_owned(),
            heading: "Saving".to_owned(),
            remark: None,
            body: html! {},
        };
    };
    let caption = format!(
        "Ink that {first} takes less than {last}, in percent; to the left it takes more. The last \
         bar is the ratio of the totals and not a mean of percentages."
    );
    let chart = charts::saving_bars(&bars, &caption);
    Section {
        anchor: "saving".to_owned(),
        heading: "Saving by picture".to_owned(),
        remark: Some(format!("{first} against {last}.")),
        body: html! { (parts::chart(&chart, &caption)) (savings_table(document)) },
    }
}

/// Every pair of sets.
fn savings_table(document: &wire::Document) -> Markup {
    let header = ["ink set", "against", "takes less ink"].map(str::to_owned);
    let row = |saving: &wire::Saving| {
        let percent = saving.percent.map_or_else(|| "undefined".to_owned(), charts::signed_percent);
        vec![html! { (saving.ink_set) }, html! { (saving.against) }, html! { (percent) }]
    };
    let rows: Vec<Vec<Markup>> = document.savings.iter().map(row).collect();
    parts::table("All pictures together, each pair of sets", &header, &rows)
}

/// How much ink the paper must take.
fn load_section(answered: &[Answered<'_>]) -> Section {
    let heaviest = answered.iter().max_by(|one, other| {
        let highest = |picture: &Answered<'_>| {
            picture.estimates.iter().map(|e| e.highest_load_ml_per_m2).fold(0.0, f64::max)
        };
        highest(one).total_cmp(&highest(other))
    });
    let body = heaviest.map_or_else(|| html! {}, |picture| {
        let loads: Vec<(&str, &wire::LoadHistogram)> = picture
            .estimates
            .iter()
            .filter_map(|e| Some((e.ink_set.as_str(), e.load_histogram.as_ref()?)))
            .collect();
        let caption = format!(
            "{}, the picture with the highest load: share of its area by ink load. The line at the \
             right end is the paper's limit.",
            picture_section::short_name(picture.name)
        );
        parts::chart(&charts::load_histogram(&loads, &caption), &caption)
    });
    Section {
        anchor: "load".to_owned(),
        heading: "Ink load against the limit".to_owned(),
        remark: Some("The most that the paper takes at one place is never exceeded; how near a picture comes says how robust the print is.".to_owned()),
        body: html! { (body) (load_table(answered)) },
    }
}

fn load_table(answered: &[Answered<'_>]) -> Markup {
    let mut header = vec!["picture".to_owned()];
    header.extend(answered[0].estimates.iter().map(|e| format!("{}, ml/m²", e.ink_set)));
    let row = |picture: &Answered<'_>| {
        let mut row = vec![html! { (picture_section::short_name(picture.name)) }];
        row.extend(picture.estimates.iter().map(|e| {
            html! {
                (format!("{:.1} of {:.1}", e.highest_load_ml_per_m2, e.load_limit_ml_per_m2))
                span.range {
                    (format!("{:.0} % coverage", 100.0 * e.highest_total_area_coverage)) ", "
                    (percent(e.limited_share)) " limited"
                }
            }
        }));
        row
    };
    let rows: Vec<Vec<Markup>> = answered.iter().map(row).collect();
    parts::table(
        "Highest load and total coverage at any place, and the area where a limit held ink back",
        &header,
        &rows,
    )
}
