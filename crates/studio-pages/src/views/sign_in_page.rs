use maud::html;

use super::frame::Frame;

/// The page that asks for a studio key; `fault` says why the last one was not taken.
pub(crate) fn sign_in_page(frame: &Frame<'_>, fault: Option<&str>) -> String {
    let content = html! {
        h1 { "Studio" }
        form.narrow method="post" action="/studio/sign-in" {
            @if let Some(fault) = fault {
                div.advice role="alert" id="fault" { p { (super::frame::capital(fault)) } }
            }
            div.field {
                label for="key" { "Studio key" }
                input id="key" type="password" name="key" required autocomplete="current-password"
                    aria-describedby=(if fault.is_some() { "fault key-hint" } else { "key-hint" })
                    aria-invalid=[fault.map(|_| "true")];
                p.hint id="key-hint" {
                    "It begins with inkf_. Whoever runs the service makes one with " code { "inkfathom keys make --role studio" } "."
                }
            }
            p { button type="submit" { "Sign in" } }
        }
    };
    frame.document("Sign in", &content)
}
