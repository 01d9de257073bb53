use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Redirect, Response};
use maud::html;
use service::{Problem, ProblemClass, Studio};

use crate::views::{Frame, Place, message_page};

/// The frame of a page of this studio.
pub(crate) fn frame(studio: &Studio, place: Place) -> Frame<'_> {
    let settings = studio.settings();
    Frame { studio: &settings.studio_name, public: settings.public_page, place }
}

/// A page that may change with the next request.
pub(crate) fn page(document: String) -> Response {
    ([(header::CACHE_CONTROL, "no-store")], Html(document)).into_response()
}

/// The page that says what went wrong, with its status; who is not signed in is sent to sign in.
pub(crate) fn refused(studio: &Studio, place: Place, problem: &Problem) -> Response {
    if problem.class == ProblemClass::Unauthorised && place != Place::Public {
        return Redirect::to("/studio/sign-in").into_response();
    }
    let title = match problem.class {
        ProblemClass::Unknown => "Not here",
        ProblemClass::TooMany => "Too many at once",
        ProblemClass::Picture => "This picture can't be priced",
        _ => "That did not work",
    };
    let way_on = html! {
        @match place {
            Place::Public => a href="/" { "Choose another picture" },
            Place::Studio(_) => a href="/studio/uploads" { "All uploads" },
        }
    };
    let document = message_page(&frame(studio, place), title, &problem.detail, &way_on);
    (problem.status(), page(document)).into_response()
}

/// Off to another page after something was done.
pub(crate) fn see(address: &str) -> Response {
    (StatusCode::SEE_OTHER, [(header::LOCATION, address.to_owned())]).into_response()
}
