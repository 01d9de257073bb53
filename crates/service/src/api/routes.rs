use std::sync::Arc;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::response::Response;
use axum::routing::get;
use utoipa::OpenApi as _;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use crate::api::description::Description;
use crate::api::questions::json;
use crate::api::{catalogue, downloads, health, questions, uploads};
use crate::{Problem, Studio};

/// The addresses of the interface. Their description is generated from the same functions.
pub(crate) fn api_routes() -> Result<Router<Arc<Studio>>, Problem> {
    let (router, description) = OpenApiRouter::with_openapi(Description::openapi())
        .routes(routes!(uploads::send, uploads::list))
        .routes(routes!(uploads::send_publicly))
        .routes(routes!(uploads::show, uploads::delete))
        .routes(routes!(uploads::show_shared))
        .routes(routes!(uploads::share, uploads::unshare))
        .routes(routes!(questions::estimate))
        .routes(routes!(questions::comparison))
        .routes(routes!(questions::quote))
        .routes(routes!(questions::estimate_shared))
        .routes(routes!(questions::comparison_shared))
        .routes(routes!(questions::quote_shared))
        .routes(routes!(downloads::report))
        .routes(routes!(downloads::report_shared))
        .routes(routes!(downloads::picture))
        .routes(routes!(downloads::picture_shared))
        .routes(routes!(catalogue::ink_sets))
        .routes(routes!(catalogue::price_lists))
        .routes(routes!(catalogue::answers))
        .routes(routes!(catalogue::answer))
        .routes(routes!(health::live))
        .routes(routes!(health::ready))
        .routes(routes!(health::metrics))
        .split_for_parts();
    let text = description.to_json().map_err(Problem::internal)?;
    let described = get(move || async move { described(&text) });
    Ok(router
        .route("/api/v1/openapi.json", described)
        // Uploads have limits of their own; whatever else has a body reads it within bounds.
        .layer(DefaultBodyLimit::disable()))
}

fn described(text: &str) -> Response {
    json(text.to_owned())
}
