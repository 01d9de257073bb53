use std::sync::Arc;

use axum::extract::{Multipart, State};
use axum::response::Response;
use service::{Problem, Studio, StudioUser, Visitor};

use super::page_response::{frame, page, refused, see};
use crate::views::{Place, UploadPage};

/// The page on which a customer chooses pictures.
pub(crate) fn page_of(studio: &Studio, place: Place) -> Response {
    let settings = studio.settings();
    let upload_page = UploadPage {
        frame: frame(studio, place),
        most_bytes: settings.max_upload_bytes,
        most_pixels: settings.max_pixels,
        picture_kept: settings.keep_pictures,
    };
    page(upload_page.document())
}

/// `GET /`.
pub(crate) async fn page_for_all(State(studio): State<Arc<Studio>>) -> Response {
    if !studio.settings().public_page {
        return refused(&studio, Place::Public, &Problem::unknown("page"));
    }
    page_of(&studio, Place::Public)
}

/// `POST /upload`: what the form sends where there is no script.
pub(crate) async fn receive(
    State(studio): State<Arc<Studio>>,
    visitor: Visitor,
    user: Option<StudioUser>,
    form: Multipart,
) -> Response {
    let received = match &user {
        Some(user) => studio.receive_form_of(user, form).await,
        None => studio.receive_form(visitor, form).await,
    };
    match received {
        Ok(upload) => match upload.token.filter(|_| user.is_none()) {
            Some(token) => see(&format!("/p/{token}")),
            None => see(&format!("/studio/uploads/{}", upload.id)),
        },
        Err(problem) => refused(&studio, Place::Public, &problem),
    }
}
