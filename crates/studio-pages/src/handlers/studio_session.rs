use std::sync::Arc;

use axum::Form;
use axum::extract::State;
use axum::http::header::SET_COOKIE;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use service::{ProblemClass, Studio, StudioUser, Visitor};

use super::page_response::{frame, page, refused, see};
use crate::views::{Place, sign_in_page};

/// What the form sends: pairs, of which `key` counts.
type Fields = Vec<(String, String)>;

/// `GET /studio/sign-in`.
pub(crate) async fn page_for_key(
    State(studio): State<Arc<Studio>>,
    user: Option<StudioUser>,
) -> Response {
    if user.is_some() {
        return see("/studio");
    }
    page(sign_in_page(&frame(&studio, Place::Public), None))
}

/// `POST /studio/sign-in`.
pub(crate) async fn sign_in(
    State(studio): State<Arc<Studio>>,
    visitor: Visitor,
    Form(fields): Form<Fields>,
) -> Response {
    let key = fields.iter().find(|(name, _)| name == "key").map_or("", |(_, key)| key.trim());
    match studio.open_session(visitor, key).await {
        Ok(cookie) => ([(SET_COOKIE, cookie)], see("/studio")).into_response(),
        Err(problem)
            if matches!(problem.class, ProblemClass::Unauthorised | ProblemClass::Forbidden) =>
        {
            let document = sign_in_page(&frame(&studio, Place::Public), Some(&problem.detail));
            (StatusCode::UNAUTHORIZED, page(document)).into_response()
        }
        Err(problem) => refused(&studio, Place::Public, &problem),
    }
}

/// `POST /studio/sign-out`.
pub(crate) async fn sign_out(State(studio): State<Arc<Studio>>, headers: HeaderMap) -> Response {
    match studio.close_session(&headers).await {
        Ok(cookie) => ([(SET_COOKIE, cookie)], see("/studio/sign-in")).into_response(),
        Err(problem) => refused(&studio, Place::Public, &problem),
    }
}
