use maud::{DOCTYPE, Markup, html};
use report::{page_parts, wire};

use crate::assets::Asset;

/// What is the same on every page.
pub(crate) struct Frame<'a> {
    /// The studio's name.
    pub(crate) studio: &'a str,
    /// Whether visitors may upload pictures.
    pub(crate) public: bool,
    /// Where the page stands.
    pub(crate) place: Place,
}

/// Where a page stands, which decides what its head leads to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Place {
    /// For anybody.
    Public,
    /// For the studio, under this heading of its contents.
    Studio(&'static str),
}

/// The studio's pages.
const STUDIO_PAGES: [(&str, &str); 4] = [
    ("Overview", "/studio"),
    ("Uploads", "/studio/uploads"),
    ("Printer", "/studio/printer"),
    ("New picture", "/studio/new"),
];

impl Frame<'_> {
    /// The whole document.
    pub(crate) fn document(&self, title: &str, content: &Markup) -> String {
        self.whole(title, content, false)
    }

    /// A document that is asked for again after two seconds.
    pub(crate) fn refreshing(&self, title: &str, content: &Markup) -> String {
        self.whole(title, content, true)
    }

    fn whole(&self, title: &str, content: &Markup, refreshing: bool) -> String {
        html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta name="color-scheme" content="light dark";
                    meta name="robots" content="noindex";
                    // Links to pictures are secrets: no other site learns of them.
                    meta name="referrer" content="same-origin";
                    @if refreshing { meta http-equiv="refresh" content="2"; }
                    title { (title) " · " (self.studio) }
                    link rel="icon" href="data:,";
                    link rel="stylesheet" href=(Asset::style().address());
                    script type="module" src=(Asset::script().address()) {}
                }
                body {
                    a.skip href="#content" { "Skip to the content" }
                    header.letterhead { (self.head()) }
                    main id="content" {
                        (content)
                        p.unseen id="spoken" role="status" {}
                    }
                    footer {
                        p.disclaimer { strong { (wire::DISCLAIMER) } " " (page_parts::SAFETY) }
                    }
                }
            }
        }
        .into_string()
    }

    fn head(&self) -> Markup {
        html! {
            p.sender {
                @if self.public { a href="/" { (self.studio) } } @else { (self.studio) }
            }
            @match self.place {
                Place::Public => p.kind { "Price of a print" },
                Place::Studio(here) => nav aria-label="Studio" {
                    ul {
                        @for (name, address) in STUDIO_PAGES {
                            li {
                                a href=(address) aria-current=[(name == here).then_some("page")] {
                                    (name)
                                }
                            }
                        }
                        li {
                            form method="post" action="/studio/sign-out" {
                                button.quiet type="submit" { "Sign out" }
                            }
                        }
                    }
                },
            }
        }
    }
}

/// A page that says one thing, such as why there is no other.
pub(crate) fn message_page(
    frame: &Frame<'_>,
    title: &str,
    sentence: &str,
    way_on: &Markup,
) -> String {
    let content = html! {
        h1 { (title) }
        p.answer { (capital(sentence)) }
        p { (way_on) }
    };
    frame.document(title, &content)
}

/// A sentence with a capital and a full stop: the service's faults have neither.
pub(crate) fn capital(sentence: &str) -> String {
    let mut letters = sentence.chars();
    let first = letters.next().map(char::to_uppercase).into_iter().flatten();
    let whole: String = first.chain(letters).collect();
    if whole.ends_with(['.', '?', '!']) { whole } else { whole + "." }
}

#[cfg(test)]
mod tests {
    use super::capital;

    #[test]
    fn sentences_begin_large_and_end_with_a_stop() {
        assert_eq!(
            capital("the file is empty; export it again"),
            "The file is empty; export it again."
        );
        assert_eq!(capital("Done."), "Done.");
        assert_eq!(capital("état?"), "État?");
    }
}
