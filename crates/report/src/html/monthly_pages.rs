use maud::{Markup, html};

use super::comparison_page::Letter;
use super::money_charts::{self, shown};
use super::parts::{self, Fact};
use super::picture_section::short_name;
use super::quote_page::{basis_section, colophon, failed_section, kind};
use super::{Page, Section};
use crate::estimate_table::{millilitres, range};
use crate::monthly_tables::{answer, saving_lines};
use crate::wire_monthly::{Job, Month, PaybackDocument, RoutingDocument, Sensitivity};

/// What is said of rounding on these pages.
const RULE: &str = "Each job's monthly ink is one line, rounded once to the smallest unit of the \
    currency; totals are sums of rounded lines.";

/// The page of a month's routing.
pub(crate) fn routing_page(document: &RoutingDocument, letter: &Letter) -> String {
    let month = &document.month;
    let mut sections = vec![jobs_section(month), totals_section(month)];
    if !document.failed.is_empty() {
        sections.push(failed_section(&document.failed));
    }
    sections.push(basis_section(&document.assumptions, RULE));
    Page {
        sender: letter.sender.as_deref(),
        kind: &kind("Routing of a month's jobs", letter),
        title: letter.title.as_deref().unwrap_or("Where does each job go?"),
        lead: html! {
            @if let Some(note) = &letter.note { p.invented { (note) } }
            @for line in saving_lines(month) { p.answer { (sentence(&line)) } }
            (parts::facts(&routing_facts(month)))
        },
        sections,
        colophon: colophon(&document.program, document.version),
    }
    .into_document()
}

/// The page of a payback.
pub(crate) fn payback_page(document: &PaybackDocument, letter: &Letter) -> String {
    let month = &document.month;
    let mut sections = vec![
        balance_section(document),
        sensitivity_section(document),
        jobs_section(month),
        totals_section(month),
        running_section(document),
    ];
    if !document.failed.is_empty() {
        sections.push(failed_section(&document.failed));
    }
    sections.push(basis_section(&document.assumptions, RULE));
    let title = format!("When has {} earned its price?", document.buy);
    Page {
        sender: letter.sender.as_deref(),
        kind: &kind("Payback of a machine", letter),
        title: letter.title.as_deref().unwrap_or(&title),
        lead: html! {
            @if let Some(note) = &letter.note { p.invented { (note) } }
            @for line in answer(document) { p.answer { (sentence(&line)) } }
            (parts::facts(&payback_facts(document)))
        },
        sections,
        colophon: colophon(&document.program, document.version),
    }
    .into_document()
}

/// A line of the terminal as a sentence.
fn sentence(line: &str) -> String {
    let mut letters = shown_signs(line).chars().collect::<Vec<char>>();
    if let Some(first) = letters.first_mut().filter(|first| first.is_ascii_lowercase()) {
        *first = first.to_ascii_uppercase();
    }
    letters.into_iter().chain(['.']).collect()
}

/// Minus signs before figures in place of hyphens.
fn shown_signs(line: &str) -> String {
    let words = line.split(' ').map(|word| match word.strip_prefix('-') {
        Some(rest) if rest.starts_with(|it: char| it.is_ascii_digit()) => format!("−{rest}"),
        _ => word.to_owned(),
    });
    words.collect::<Vec<String>>().join(" ")
}

fn routing_facts(month: &Month) -> Vec<Fact> {
    month
        .all_on
        .iter()
        .chain([&month.routed])
        .map(|total| Fact {
            label: if total.ink_set == month.routed.ink_set {
                "Each where it is sent".to_owned()
            } else {
                format!("All on {}", total.ink_set)
            },
            value: format!("{} {}", total.cost, month.currency),
            note: Some(format!(
                "{} ml; {} of {} jobs not held",
                millilitres(total.ink_ml),
                total.jobs_not_held,
                month.jobs.len()
            )),
        })
        .collect()
}

fn payback_facts(document: &PaybackDocument) -> Vec<Fact> {
    let currency = document.month.currency;
    let fact = |label: &str, value: String, note: String| Fact {
        label: label.to_owned(),
        value,
        note: Some(note),
    };
    vec![
        fact(
            "Price earned in",
            document.time.words.clone(),
            format!(
                "{} to {}",
                document.time_at_most_saving.words, document.time_at_least_saving.words
            ),
        ),
        fact(
            "Saved in a month",
            format!("{} {currency}", shown(&document.saving.expected)),
            format!("{} to {}", shown(&document.saving.low), shown(&document.saving.high)),
        ),
        fact(
            "Saves anything",
            document.break_even.words.clone(),
            format!("the mix is {:.1} m² a month", document.area_m2_per_month),
        ),
    ]
}

fn balance_section(document: &PaybackDocument) -> Section {
    let description = format!(
        "Balance of the purchase by month: begins at minus the price of {} {}; price earned in: {}; \
         range {} to {}",
        document.price,
        document.month.currency,
        document.time.words,
        document.time_at_most_saving.words,
        document.time_at_least_saving.words
    );
    Section {
        anchor: "balance".to_owned(),
        heading: "Balance by month".to_owned(),
        remark: Some("Savings so far less the price of the machine.".to_owned()),
        body: html! {
            (parts::chart(
                &money_charts::balance(document, &description),
                "The line is the expected saving, the band its range; a dot marks where the price is \
                 earned.",
            ))
        },
    }
}

fn sensitivity_section(document: &PaybackDocument) -> Section {
    let saved = format!("saved in a month, {}", document.month.currency);
    let header =
        ["if", "jobs moved", "not held", &saved, "price earned in", "range"].map(str::to_owned);
    let rows: Vec<Vec<Markup>> = document.sensitivity.iter().map(sensitivity_row).collect();
    Section {
        anchor: "sensitivity".to_owned(),
        heading: "If something else were so".to_owned(),
        remark: Some("One thing changed at a time.".to_owned()),
        body: parts::table("How the answer moves with what it rests on", &header, &rows),
    }
}

fn sensitivity_row(row: &Sensitivity) -> Vec<Markup> {
    let range = format!("{} to {}", row.time_at_most_saving.words, row.time_at_least_saving.words);
    vec![
        html! { (row.words) },
        html! { (row.jobs_moved) },
        html! { (row.jobs_not_held) },
        html! { (shown(&row.saving.expected)) },
        html! { (row.time.words) },
        html! { (range) },
    ]
}

fn jobs_section(month: &Month) -> Section {
    let mut header = ["job", "copies", "area, m²"].map(str::to_owned).to_vec();
    header.extend(month.ink_sets.iter().map(|set| format!("{set}, {}", month.currency)));
    header.push("sent to".to_owned());
    let rows: Vec<Vec<Markup>> = month.jobs.iter().map(job_row).collect();
    Section {
        anchor: "jobs".to_owned(),
        heading: "The jobs".to_owned(),
        remark: Some("Ink of a month on each set, and where each job is sent.".to_owned()),
        body: html! {
            p { (sentence(&month.demand)) }
            (parts::table("A month's jobs", &header, &rows))
        },
    }
}

fn job_row(job: &Job) -> Vec<Markup> {
    let mut row = vec![
        html! { (short_name(&job.name)) },
        html! { (job.copies_per_month) },
        html! { (format!("{:.2}", job.area_m2)) },
    ];
    row.extend(job.on.iter().map(|on| {
        let (class, word) = if on.holds { ("holds", "holds") } else { ("loses", "loses colours") };
        html! {
            (on.cost)
            span.range { (millilitres(on.ink_ml)) " ml" }
            span.range { span class={ "standing " (class) } { (word) } }
        }
    }));
    row.push(html! { (job.sent_to) @if !job.held { span.range { "none holds" } } });
    row
}

fn totals_section(month: &Month) -> Section {
    let header =
        ["all jobs on", "ml", "range, ml", month.currency, "jobs not held"].map(str::to_owned);
    let rows: Vec<Vec<Markup>> = month
        .all_on
        .iter()
        .chain([&month.routed])
        .map(|total| {
            vec![
                html! { (total.ink_set) },
                html! { (millilitres(total.ink_ml)) },
                html! { (range(total.ink_ml_low, total.ink_ml_high)) },
                html! { (total.cost) },
                html! { (total.jobs_not_held) },
            ]
        })
        .collect();
    Section {
        anchor: "totals".to_owned(),
        heading: "The month".to_owned(),
        remark: Some("All jobs on one set, and each where it is sent.".to_owned()),
        body: html! {
            (parts::table("Ink of a month", &header, &rows))
            @for line in saving_lines(month) { p { (sentence(&line)) } }
        },
    }
}

fn running_section(document: &PaybackDocument) -> Section {
    let header = ["machine of", "idle ink", "cleaning ink", "heads", "maintenance", "sum"];
    let rows: Vec<Vec<Markup>> = document
        .running
        .iter()
        .map(|machine| {
            vec![
                html! { (machine.ink_set) },
                html! { (machine.idle) span.range { (millilitres(machine.idle_ink_ml)) " ml" } },
                html! {
                    (machine.cleaning) span.range { (millilitres(machine.cleaning_ink_ml)) " ml" }
                },
                html! { (machine.heads) },
                html! { (machine.maintenance) },
                html! { (machine.sum) },
            ]
        })
        .collect();
    Section {
        anchor: "running".to_owned(),
        heading: "Without printing".to_owned(),
        remark: Some(format!("What each machine costs in a month, {}.", document.month.currency)),
        body: parts::table("Running costs of a month", &header.map(str::to_owned), &rows),
    }
}
