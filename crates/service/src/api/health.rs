use std::sync::Arc;

use axum::extract::State;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse as _, Response};

use crate::caller::{KeyHolder, Visitor};
use crate::{Problem, ProblemClass, Studio};

/// Whether the service runs
#[utoipa::path(
    get, path = "/health/live", tag = "health",
    responses((status = 204, description = "It does")),
    security(()),
)]
pub(crate) async fn live() -> StatusCode {
    StatusCode::NO_CONTENT
}

/// Whether the service can take uploads and answer
#[utoipa::path(
    get, path = "/health/ready", tag = "health",
    responses(
        (status = 204, description = "It can"),
        (status = "default", description = "Not now", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(()),
)]
pub(crate) async fn ready(State(studio): State<Arc<Studio>>) -> Result<StatusCode, Problem> {
    studio.blocking(Studio::is_ready).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Figures for whoever watches the service, in the text form of Prometheus
///
/// For this machine itself, and with a key of the studio.
#[utoipa::path(
    get, path = "/metrics", tag = "health",
    responses(
        (status = 200, description = "The figures", body = String, content_type = "text/plain"),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security((), ("key" = [])),
)]
pub(crate) async fn metrics(
    State(studio): State<Arc<Studio>>,
    visitor: Visitor,
    holder: Option<KeyHolder>,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    // A request that a server in front passes on comes from anywhere.
    let passed_on = headers.contains_key("x-forwarded-for") || headers.contains_key("forwarded");
    let is_own = visitor.address.is_loopback() && !passed_on;
    if !is_own && !holder.is_some_and(|holder| holder.is_studio()) {
        let detail = "figures are for this machine, or take a key of the role studio";
        return Err(Problem::new(ProblemClass::Forbidden, detail));
    }
    let (waiting, counting) = studio.queue.lengths();
    let kind = HeaderValue::from_static("text/plain; version=0.0.4; charset=utf-8");
    Ok(([(header::CONTENT_TYPE, kind)], studio.metrics.text(waiting, counting)).into_response())
}
