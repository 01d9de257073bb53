use axum::extract::Path;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};

use crate::assets::Asset;

/// A style sheet or script. Its name is that of its content, so that it never grows old.
pub(crate) async fn asset(Path(name): Path<String>) -> Response {
    let Some(asset) = Asset::named(&name) else { return StatusCode::NOT_FOUND.into_response() };
    let headers = [
        (header::CONTENT_TYPE, asset.media_type),
        (header::CACHE_CONTROL, "public, max-age=31536000, immutable"),
    ];
    (headers, asset.content.as_str()).into_response()
}
