//! The pieces that pages are made of.

use maud::{Markup, html};

/// What every page refers to other people.
pub const SAFETY: &str = "For handling ink, electrical work and ventilation see the \
    supplier's safety data sheet and local codes, and ask qualified people.";

/// A figure that stands for itself: label, value, and what it rests on.
pub struct Fact {
    /// What it is.
    pub label: String,
    /// The figure with its unit.
    pub value: String,
    /// A range, a comparison, a condition.
    pub note: Option<String>,
}

/// Figures side by side.
#[must_use]
pub fn facts(facts: &[Fact]) -> Markup {
    html! {
        dl.facts {
            @for fact in facts {
                div {
                    dt { (fact.label) }
                    dd {
                        span.value { (fact.value) }
                        @if let Some(note) = &fact.note { span.note { (note) } }
                    }
                }
            }
        }
    }
}

/// A table that scrolls by itself on narrow screens. The first column heads its row; the others
/// are figures. A click on a heading sorts by it, where there is script.
#[must_use]
pub fn table(caption: &str, header: &[String], rows: &[Vec<Markup>]) -> Markup {
    table_of("sortable", caption, header, rows)
}

/// The same of words, which begin at the left.
pub(crate) fn words_table(caption: &str, header: &[String], rows: &[Vec<Markup>]) -> Markup {
    table_of("sortable words", caption, header, rows)
}

fn table_of(class: &str, caption: &str, header: &[String], rows: &[Vec<Markup>]) -> Markup {
    html! {
        section.scroll tabindex="0" aria-label=(caption) {
            table class=(class) {
                caption { span { (caption) } }
                thead { tr { @for cell in header { th scope="col" { (cell) } } } }
                tbody { @for row in rows { (row_of(row)) } }
            }
        }
    }
}

fn row_of(cells: &[Markup]) -> Markup {
    html! {
        tr {
            @for (column, cell) in cells.iter().enumerate() {
                @if column == 0 { th scope="row" { (cell) } } @else { td { (cell) } }
            }
        }
    }
}

/// A disc in the colour of an ink.
#[must_use]
pub fn swatch(colour: &str) -> Markup {
    html! {
        svg.swatch viewBox="0 0 10 10" aria-hidden="true" {
            circle cx="5" cy="5" r="4.5" fill=(colour) stroke="#20292e" stroke-width="0.6" {}
        }
    }
}

/// A chart with its caption, which scrolls by itself where it would be too small to read.
#[must_use]
pub fn chart(content: &Markup, caption: &str) -> Markup {
    html! {
        figure.chart {
            section.scroll tabindex="0" aria-label=(caption) { (content) }
            figcaption { (caption) }
        }
    }
}

/// A picture or chart with its caption.
#[must_use]
pub fn figure(content: &Markup, caption: &str) -> Markup {
    html! { figure { (content) figcaption { (caption) } } }
}

/// A list of sentences; those that must be seen come with a word and not by colour alone.
#[must_use]
pub fn notes<'a>(notes: impl Iterator<Item = (bool, &'a str)>) -> Markup {
    html! {
        ul.notes {
            @for (warning, text) in notes {
                @if warning { li.warning { strong { "Note well: " } (text) } } @else { li { (text) } }
            }
        }
    }
}
