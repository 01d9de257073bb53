use std::sync::Arc;

use axum::Router;
use axum::routing::{get, post};
use service::Studio;

use crate::handlers::{asset, result, studio_session, studio_uploads, studio_view, upload};

/// All pages, their style and their script.
pub fn routes() -> Router<Arc<Studio>> {
    Router::new()
        .route("/", get(upload::page_for_all))
        .route("/upload", post(upload::receive))
        .route("/p/{token}", get(result::shared))
        .route("/assets/{name}", get(asset::asset))
        .route("/studio", get(studio_view::overview))
        .route("/studio/printer", get(studio_view::printer))
        .route("/studio/new", get(studio_uploads::new))
        .route("/studio/sign-in", get(studio_session::page_for_key).post(studio_session::sign_in))
        .route("/studio/sign-out", post(studio_session::sign_out))
        .route("/studio/uploads", get(studio_uploads::list))
        .route("/studio/uploads/{id}", get(result::of_studio))
        .route("/studio/uploads/{id}/unshare", post(studio_uploads::unshare))
        .route("/studio/uploads/{id}/delete", post(studio_uploads::delete))
        .route("/studio/uploads/{id}/measured", post(studio_uploads::measured))
}
