use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::parts;
use crate::wire;

/// The frame of a page: letterhead, title, first screen, sections, colophon.
pub(crate) struct Page<'a> {
    /// Who sends it; the letterhead stays empty without.
    pub(crate) sender: Option<&'a str>,
    /// What kind of document it is, a word or two: above the title.
    pub(crate) kind: &'a str,
    /// The title.
    pub(crate) title: &'a str,
    /// What a hurried reader must know: facts and sentences beside the title.
    pub(crate) lead: Markup,
    /// What follows.
    pub(crate) sections: Vec<Section>,
    /// Program and versions, last on the page.
    pub(crate) colophon: Markup,
}

/// A part of a page under a heading of its own.
pub(crate) struct Section {
    /// Name of the place, for links: lower case, hyphens.
    pub(crate) anchor: String,
    /// The heading.
    pub(crate) heading: String,
    /// A line under it that says what it shows.
    pub(crate) remark: Option<String>,
    /// The content.
    pub(crate) body: Markup,
}

/// The style of every page: no fonts, pictures or rules from elsewhere.
pub(crate) const STYLE: &str = include_str!("page.css");
/// What makes tables sortable and proofs slide; nothing is hidden from those who have no script.
const SCRIPT: &str = include_str!("page.js");
/// The page may show what it carries and fetch nothing.
const POLICY: &str =
    "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'unsafe-inline'";

impl Page<'_> {
    /// The whole document.
    pub(crate) fn into_document(self) -> String {
        let Self { sender, kind, title, lead, sections, colophon } = self;
        html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta http-equiv="Content-Security-Policy" content=(POLICY);
                    title { (title) }
                    style { (PreEscaped(STYLE)) }
                }
                body {
                    a.skip href="#content" { "Skip to the content" }
                    header.letterhead {
                        p.sender { (sender.unwrap_or("inkfathom")) }
                        p.kind { (kind) }
                    }
                    main id="content" {
                        h1 { (title) }
                        div.lead { (lead) }
                        (contents(&sections))
                        @for section in &sections { (placed(section)) }
                    }
                    footer {
                        p.disclaimer { strong { (wire::DISCLAIMER) } " " (parts::SAFETY) }
                        div.colophon { (colophon) }
                    }
                    script { (PreEscaped(SCRIPT)) }
                }
            }
        }
        .into_string()
    }
}

/// Links to the sections, where there are enough to get lost in.
fn contents(sections: &[Section]) -> Markup {
    html! {
        @if sections.len() > 2 {
            nav.contents aria-label="Contents" {
                ol {
                    @for section in sections {
                        li { a href={ "#" (section.anchor) } { (section.heading) } }
                    }
                }
            }
        }
    }
}

fn placed(section: &Section) -> Markup {
    html! {
        section id=(section.anchor) aria-labelledby={ (section.anchor) "-heading" } {
            div.margin {
                h2 id={ (section.anchor) "-heading" } { (section.heading) }
                @if let Some(remark) = &section.remark { p { (remark) } }
            }
            div.body { (section.body) }
        }
    }
}
