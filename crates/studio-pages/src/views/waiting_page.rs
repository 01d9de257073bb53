use maud::html;

use super::frame::Frame;

/// The page of a picture whose colours are not yet counted: it comes back by itself.
pub(crate) fn waiting_page(frame: &Frame<'_>, name: &str, here: &str) -> String {
    let content = html! {
        h1 { (name) }
        p.answer role="status" { "Its colours are being counted." }
        p { "This page looks again every two seconds. " a href=(here) { "Look now" } }
    };
    frame.refreshing(name, &content)
}
