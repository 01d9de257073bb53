use maud::{Markup, html};
use report::{page_parts, wire};

use super::answers::{SetAnswer, answers, no_answers};
use super::frame::Frame;
use super::inks::inks;
use super::proofs::ProofAddresses;
use super::upload_page::kept;
use super::what_if_form::WhatIfForm;

/// The page of one picture: what is asked beside what is answered.
pub(crate) struct ResultPage<'a> {
    pub(crate) frame: Frame<'a>,
    pub(crate) picture: PictureLine<'a>,
    pub(crate) form: WhatIfForm<'a>,
    pub(crate) answer: Answer<'a>,
    /// The link to hand on, with what is asked now.
    pub(crate) link: String,
    /// What the studio alone sees, below the rest.
    pub(crate) studio: Option<Markup>,
}

/// What is known of the picture.
pub(crate) struct PictureLine<'a> {
    pub(crate) name: &'a str,
    pub(crate) format: &'a str,
    pub(crate) width_px: u32,
    pub(crate) height_px: u32,
    /// The day on which it came.
    pub(crate) received: &'a str,
    pub(crate) kept: bool,
    /// Address of a small picture of it.
    pub(crate) preview: String,
}

/// What was worked out.
pub(crate) enum Answer<'a> {
    /// An answer for each chosen set.
    Worked {
        document: &'a wire::Document,
        estimates: &'a [wire::Estimate],
        sets: Vec<SetAnswer<'a>>,
        advice: Vec<String>,
        proofs: ProofAddresses,
    },
    /// Why there is none, and what to do.
    Refused(&'a str),
}

impl ResultPage<'_> {
    pub(crate) fn document(&self) -> String {
        let content = html! {
            (self.picture.markup())
            div.what-if {
                (self.answers())
                (self.form.markup())
                (self.details())
            }
            @if let Some(studio) = &self.studio { div id="studio-part" { (studio) } }
        };
        self.frame.document(self.picture.name, &content)
    }

    fn answers(&self) -> Markup {
        match &self.answer {
            Answer::Worked { document, sets, advice, .. } => answers(document, sets, advice),
            Answer::Refused(reason) => no_answers(reason),
        }
    }

    fn details(&self) -> Markup {
        html! {
            div.details id="details" {
                @if let Answer::Worked { estimates, proofs, .. } = &self.answer {
                    (proofs.markup())
                    (inks(estimates))
                    (basis(estimates))
                }
                (hand_on(&self.link))
            }
        }
    }
}

impl PictureLine<'_> {
    fn markup(&self) -> Markup {
        html! {
            div.subject {
                img src=(self.preview) alt="" decoding="async";
                div {
                    h1 { (self.name) }
                    p {
                        (self.format) ", " (self.width_px) " × " (self.height_px) " pixels, received "
                        (self.received) ". " (kept_since(self.kept))
                    }
                }
            }
        }
    }
}

/// What became of the file.
fn kept_since(is_kept: bool) -> &'static str {
    if is_kept { kept(true) } else { "The file was deleted after its colours were counted." }
}

/// What the figures rest on: each sentence once.
fn basis(estimates: &[wire::Estimate]) -> Markup {
    let mut sentences: Vec<&wire::Assumption> = Vec::new();
    for assumption in estimates.iter().flat_map(|estimate| &estimate.assumptions) {
        if !sentences.contains(&assumption) {
            sentences.push(assumption);
        }
    }
    let notes = sentences.iter().map(|said| (said.weight == "warning", said.text.as_str()));
    html! {
        section aria-labelledby="basis" {
            h2 id="basis" { "What it rests on" }
            @if let Some(first) = estimates.first() {
                ul.notes {
                    li {
                        (page_parts::printed_size(first)) " on " (first.substrate) ", print mode "
                        (first.print_mode)
                    }
                }
            }
            (page_parts::notes(notes))
            p { (wire::DISCLAIMER) " The true figure lies within the range in nine cases of ten." }
        }
    }
}

/// How the page is handed on.
fn hand_on(link: &str) -> Markup {
    html! {
        section.no-print aria-labelledby="share" {
            h2 id="share" { "Hand it on" }
            p { "Whoever has this link sees this picture's page with the choices above, and no other." }
            div.share {
                label { "Link" input id="link" type="text" readonly value=(link); }
                button type="button" data-copies hidden { "Copy the link" }
                button.quiet type="button" data-prints hidden { "Print this page" }
            }
        }
    }
}
