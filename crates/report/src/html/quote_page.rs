use maud::{Markup, html};

use super::comparison_page::Letter;
use super::money_charts::{self, shown};
use super::parts::{self, Fact};
use super::picture_section::short_name;
use super::{Page, Section};
use crate::estimate_table::{millilitres, range};
use crate::wire::Assumption;
use crate::wire_quote::{FailedPicture, QuoteDocument, QuoteLine};

/// The page of a quote. `for_customer` leaves out what the studio pays and earns.
pub(crate) fn quote_page(document: &QuoteDocument, letter: &Letter, for_customer: bool) -> String {
    let mut sections = vec![price_section(document)];
    if !for_customer {
        sections.push(lines_section(document));
    }
    sections.push(roll_section(document));
    if !document.failed.is_empty() {
        sections.push(failed_section(&document.failed));
    }
    sections.push(basis_section(&document.assumptions, &rounding_rule(document)));
    let title = format!("{} for {}", counted_prints(document), paper_of(document));
    Page {
        sender: letter.sender.as_deref(),
        kind: &kind("Quote", letter),
        title: letter.title.as_deref().unwrap_or(&title),
        lead: lead(document, letter, for_customer),
        sections,
        colophon: colophon(&document.program, document.version),
    }
    .into_document()
}

/// What kind of document it is, and its date.
pub(super) fn kind(kind: &str, letter: &Letter) -> String {
    match &letter.date {
        Some(date) => format!("{kind}, {date}"),
        None => kind.to_owned(),
    }
}

pub(super) fn colophon(program: &str, version: u32) -> Markup {
    html! { p { "Made with " (program) ", form " (version) "." } }
}

fn counted_prints(document: &QuoteDocument) -> String {
    let prints: u64 = document.pictures.iter().map(|picture| u64::from(picture.copies)).sum();
    if prints == 1 { "One print".to_owned() } else { format!("{prints} prints") }
}

fn paper_of(document: &QuoteDocument) -> String {
    format!("{} {}", document.total.expected, document.currency)
}

fn lead(document: &QuoteDocument, letter: &Letter, for_customer: bool) -> Markup {
    html! {
        @if let Some(note) = &letter.note { p.invented { (note) } }
        p.answer { (answer(document)) }
        (parts::facts(&facts(document, for_customer)))
    }
}

fn answer(document: &QuoteDocument) -> String {
    let QuoteDocument { total, net, currency, paper, roll, .. } = document;
    let prints = counted_prints(document);
    let tax = if total.expected == net.expected {
        String::new()
    } else {
        format!(", {} {currency} before tax", net.expected)
    };
    format!(
        "{prints} on {paper}, {:.2} m² in all, for {} {currency}{tax}.",
        roll.printed_area_m2, total.expected
    )
}

fn facts(document: &QuoteDocument, for_customer: bool) -> Vec<Fact> {
    let QuoteDocument { currency, net, total, .. } = document;
    let fact = |label: &str, value: String, note: Option<String>| Fact {
        label: label.to_owned(),
        value,
        note,
    };
    let mut facts = vec![fact(
        "Total",
        format!("{} {currency}", total.expected),
        (!for_customer).then(|| format!("{} to {} by the range of the ink", total.low, total.high)),
    )];
    if let [only] = &document.pictures[..] {
        let note = format!("{} a square metre, before tax", only.net_per_m2);
        facts.push(fact("A copy", format!("{} {currency}", only.net_per_copy), Some(note)));
    }
    if !for_customer {
        let note = format!("cost {} {currency}", document.cost);
        facts.push(fact("Net price", format!("{} {currency}", net.expected), Some(note)));
        let [of_cost, of_net] =
            [document.ink_share_of_cost, document.ink_share_of_net].map(percent);
        let note = format!("of the cost; {of_net} of the net price");
        facts.push(fact("All ink", of_cost, Some(note)));
    }
    let ink = format!("{} ml", millilitres(document.ink_ml));
    let note = format!("{} ml", range(document.ink_ml_low, document.ink_ml_high));
    facts.push(fact("Ink of the pictures", ink, Some(note)));
    facts
}

fn percent(share: Option<f64>) -> String {
    share.map_or_else(|| "undefined".to_owned(), |share| format!("{:.1} %", 100.0 * share))
}

fn price_section(document: &QuoteDocument) -> Section {
    let currency = document.currency;
    let header = ["picture", "size, cm", "copies", "area, m²", "per copy", "per m²"]
        .map(str::to_owned)
        .into_iter()
        .chain([format!("net, {currency}")]);
    let rows: Vec<Vec<Markup>> = document
        .pictures
        .iter()
        .enumerate()
        .map(|(number, picture)| {
            vec![
                html! { (number + 1) ". " (short_name(&picture.file)) },
                html! { (format!("{:.1}\u{a0}×\u{a0}{:.1}", picture.width_mm / 10.0, picture.height_mm / 10.0)) },
                html! { (picture.copies) },
                html! { (format!("{:.3}", picture.area_m2)) },
                html! { (picture.net_per_copy) },
                html! { (picture.net_per_m2) },
                html! { (picture.net) },
            ]
        })
        .collect();
    let header: Vec<String> = header.collect();
    Section {
        anchor: "prices".to_owned(),
        heading: "Prices".to_owned(),
        remark: Some("By picture, before tax; they add up to the net price.".to_owned()),
        body: html! {
            (parts::table("The pictures and their prices", &header, &rows))
            (sums(document))
        },
    }
}

/// The net price, the tax and the total under the pictures.
fn sums(document: &QuoteDocument) -> Markup {
    let shown_lines =
        document.lines.iter().filter(|line| ["net", "tax", "total"].contains(&line.kind));
    line_table("Net price, tax and total", document.currency, shown_lines)
}

fn lines_section(document: &QuoteDocument) -> Section {
    let caption = "Every line, rounded once, and the sums of the lines";
    Section {
        anchor: "lines".to_owned(),
        heading: "How the price is made".to_owned(),
        remark: Some(format!("Price list {}. Not for the customer.", document.price_list)),
        body: html! {
            (line_table(caption, document.currency, document.lines.iter()))
            (parts::chart(
                &money_charts::lines(document, &description_of_lines(document)),
                "What the price is made of; discounts are drawn in brown.",
            ))
        },
    }
}

fn description_of_lines(document: &QuoteDocument) -> String {
    let lines = document.lines.iter().filter(|line| !line.is_sum);
    let lines: Vec<String> =
        lines.map(|line| format!("{} {}", line.label, shown(&line.amount))).collect();
    format!("Bars of the quote's lines in {}: {}", document.currency, lines.join(", "))
}

fn line_table<'a>(
    caption: &str,
    currency: &str,
    lines: impl Iterator<Item = &'a QuoteLine>,
) -> Markup {
    html! {
        section.scroll tabindex="0" aria-label=(caption) {
            table {
                caption { (caption) }
                thead { tr {
                    th scope="col" { "line" }
                    th scope="col" { "from" }
                    th scope="col" { (currency) }
                } }
                tbody { @for line in lines {
                    tr class=[line.is_sum.then_some("total")] {
                        th scope="row" { (line.label) }
                        td { (line.basis) }
                        td { (shown(&line.amount)) }
                    }
                } }
            }
        }
    }
}

fn roll_section(document: &QuoteDocument) -> Section {
    let roll = &document.roll;
    let caption = crate::quote_table::roll_line(roll);
    let description = format!("Prints on the roll: {caption}");
    Section {
        anchor: "roll".to_owned(),
        heading: "On the roll".to_owned(),
        remark: Some("Numbers are those of the pictures above.".to_owned()),
        body: html! {
            (parts::chart(&money_charts::roll(roll, &description), &format!("{caption}.")))
        },
    }
}

pub(super) fn failed_section(failed: &[FailedPicture]) -> Section {
    Section {
        anchor: "failed".to_owned(),
        heading: "Not answered".to_owned(),
        remark: Some("Left out of every figure above.".to_owned()),
        body: html! {
            @for picture in failed {
                p.failed { strong { (picture.file) } ": " (picture.error) }
            }
        },
    }
}

fn rounding_rule(document: &QuoteDocument) -> String {
    format!(
        "Each line is rounded once to the smallest unit of {}, halves away from zero; percentages \
         are taken of rounded lines, and sums are sums of rounded lines.",
        document.currency
    )
}

pub(super) fn basis_section(assumptions: &[Assumption], rule: &str) -> Section {
    let notes = assumptions.iter().map(|it| (it.weight == "warning", it.text.as_str()));
    Section {
        anchor: "basis".to_owned(),
        heading: "What this rests on".to_owned(),
        remark: Some("Everything that was assumed.".to_owned()),
        body: html! {
            p {
                "The ink is predicted by a model of ink on paper; nothing was printed or measured \
                 for it. " (rule)
            }
            (parts::notes(notes))
        },
    }
}
