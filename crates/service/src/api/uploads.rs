use std::sync::Arc;

use axum::Json;
use axum::extract::{FromRequest as _, Multipart, Request, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use ledger::StoredUpload;
use serde::Serialize;
use utoipa::ToSchema;

use crate::access::UploadQuery;
use crate::api::extracting::{Named, Query};
use crate::caller::{KeyHolder, Visitor};
use crate::incoming::Pieces;
use crate::receiving::Sender;
use crate::upload_form::{UploadForm, UploadPage};
use crate::{Problem, ProblemClass, Studio};

/// What opens an upload without a key.
#[derive(Serialize, ToSchema)]
pub(crate) struct Link {
    /// The last part of the addresses below `/api/v1/shared`.
    pub(crate) token: String,
    /// The page that it opens.
    pub(crate) path: String,
}

/// Send a picture
///
/// The file is the body itself, with its name in the query, or the field `file` of a form. What is to be
/// answered may come with it, in the query or in fields of the form. When the answer comes, the upload
/// is kept and will be counted, whatever happens to the service.
#[utoipa::path(
    post, path = "/api/v1/uploads", tag = "uploads",
    params(
        ("name" = Option<String>, Query, description = "The file's name, for people"),
        ("width" = Option<String>, Query, description = "Printed width, such as 60cm"),
        ("Idempotency-Key" = Option<String>, Header,
            description = "The same key and file again give the same upload; 8 to 200 characters"),
    ),
    request_body(content = Vec<u8>, content_type = "application/octet-stream"),
    responses(
        (status = 202, description = "Kept; it will be counted", body = UploadForm,
            headers(("Location" = String, description = "Where it is shown"))),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(("key" = [])),
)]
pub(crate) async fn send(
    State(studio): State<Arc<Studio>>,
    holder: KeyHolder,
    query: Query,
    request: Request,
) -> Result<Response, Problem> {
    let owner = holder.key.number;
    let upload = received(&studio, owner, query, request).await?;
    let location = format!("/api/v1/uploads/{}", upload.upload.id);
    Ok(accepted(studio.form(&upload), &location))
}

/// Send a picture without a key
///
/// Only while the studio's public page is on. The answer carries the token of the upload's link.
#[utoipa::path(
    post, path = "/api/v1/public/uploads", tag = "uploads",
    params(
        ("name" = Option<String>, Query, description = "The file's name, for people"),
        ("width" = Option<String>, Query, description = "Printed width, such as 60cm"),
        ("Idempotency-Key" = Option<String>, Header,
            description = "The same key and file again give the same upload; 16 to 200 characters"),
    ),
    request_body(content = Vec<u8>, content_type = "application/octet-stream"),
    responses(
        (status = 202, description = "Kept; it will be counted", body = UploadForm,
            headers(("Location" = String, description = "Where it is shown"))),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(()),
)]
pub(crate) async fn send_publicly(
    State(studio): State<Arc<Studio>>,
    visitor: Visitor,
    query: Query,
    request: Request,
) -> Result<Response, Problem> {
    studio.admit(visitor)?;
    let upload = received(&studio, 0, query, request).await?;
    let form = studio.with_token(&upload);
    let location = format!("/api/v1/shared/{}", form.token.as_deref().unwrap_or_default());
    Ok(accepted(form, &location))
}

async fn received(
    studio: &Arc<Studio>,
    owner: i64,
    mut query: Query,
    request: Request,
) -> Result<StoredUpload, Problem> {
    let idempotency_key = idempotency_key(request.headers(), owner)?;
    let sender = Sender { owner, idempotency_key };
    let kind = request.headers().get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok());
    if kind.is_some_and(|kind| kind.trim_start().starts_with("multipart/form-data")) {
        query.end()?;
        let form = Multipart::from_request(request, studio).await;
        let form = form.map_err(|fault| {
            Problem::new(
                ProblemClass::Usage,
                format!("the form can't be read: {}", fault.body_text()),
            )
        })?;
        return studio.receive_multipart(sender, form).await;
    }
    let name = query.take("name").unwrap_or_default();
    // What makes no sense is told before anything is sent.
    let wish = query.what_if()?;
    studio.check_wish(&wish)?;
    check_stated_length(request.headers(), studio.configuration.most_upload_bytes)?;
    let delivery = studio.take_in(Pieces::from(request.into_body())).await?;
    studio.accept(delivery, sender, &name, &wish).await
}

/// A body that says itself that it is too large need not be read.
fn check_stated_length(headers: &HeaderMap, most: u64) -> Result<(), Problem> {
    let stated = headers.get(header::CONTENT_LENGTH).and_then(|length| length.to_str().ok());
    match stated.and_then(|length| length.parse::<u64>().ok()) {
        Some(length) if length > most => {
            let (length, most) = (length.div_ceil(1 << 20), most >> 20);
            let detail = format!("the file has {length} MiB, above the {most} MiB that are taken");
            Err(Problem::new(ProblemClass::TooLarge, detail))
        }
        _ => Ok(()),
    }
}

/// Keys without a key of the studio's must not be guessed by a neighbour.
fn idempotency_key(headers: &HeaderMap, owner: i64) -> Result<Option<String>, Problem> {
    let Some(key) = headers.get("idempotency-key") else { return Ok(None) };
    let least = if owner == 0 { 16 } else { 8 };
    let key = key.to_str().ok().map(str::trim).filter(|key| (least..=200).contains(&key.len()));
    let key = key.ok_or_else(|| {
        let detail =
            format!("Idempotency-Key takes {least} to 200 plain characters, such as a UUID");
        Problem::new(ProblemClass::Usage, detail)
    })?;
    Ok(Some(key.to_owned()))
}

fn accepted(form: UploadForm, location: &str) -> Response {
    let mut response = (StatusCode::ACCEPTED, Json(form)).into_response();
    if let Ok(location) = HeaderValue::from_str(location) {
        response.headers_mut().insert(header::LOCATION, location);
    }
    response
}

/// List and search uploads, newest first
#[utoipa::path(
    get, path = "/api/v1/uploads", tag = "uploads",
    params(
        ("search" = Option<String>, Query, description = "A part of the name"),
        ("state" = Option<String>, Query, description = "received, counted, refused or failed"),
        ("limit" = Option<u32>, Query, minimum = 1, maximum = 200, description = "At most so many; 50"),
        ("after" = Option<String>, Query, description = "`next` of the page before"),
    ),
    responses(
        (status = 200, description = "Those that the key may see", body = UploadPage),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(("key" = [])),
)]
pub(crate) async fn list(
    State(studio): State<Arc<Studio>>,
    holder: KeyHolder,
    mut query: Query,
) -> Result<Json<UploadPage>, Problem> {
    let asked = UploadQuery {
        search: query.take("search"),
        state: query.take("state"),
        limit: query.take_number("limit")?,
        after: query.take("after"),
    };
    query.end()?;
    studio.uploads_of(&holder, asked).await.map(Json)
}

/// Show an upload
#[utoipa::path(
    get, path = "/api/v1/uploads/{id}", tag = "uploads",
    params(("id" = String, Path, description = "The upload's name in addresses")),
    responses(
        (status = 200, description = "The upload", body = UploadForm),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(("key" = [])),
)]
pub(crate) async fn show(
    State(studio): State<Arc<Studio>>,
    holder: KeyHolder,
    Named(id): Named,
) -> Result<Json<UploadForm>, Problem> {
    let access = studio.by_key(&holder, &id).await?;
    studio.upload(&access).await.map(Json)
}

/// Show the upload that a link opens
#[utoipa::path(
    get, path = "/api/v1/shared/{token}", tag = "shared",
    params(("token" = String, Path, description = "The link's token")),
    responses(
        (status = 200, description = "The upload", body = UploadForm),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(()),
)]
pub(crate) async fn show_shared(
    State(studio): State<Arc<Studio>>,
    visitor: Visitor,
    Named(token): Named,
) -> Result<Json<UploadForm>, Problem> {
    let access = studio.by_token(visitor, &token).await?;
    studio.upload(&access).await.map(Json)
}

/// Delete an upload with everything that is kept about it
#[utoipa::path(
    delete, path = "/api/v1/uploads/{id}", tag = "uploads",
    params(("id" = String, Path, description = "The upload's name in addresses")),
    responses(
        (status = 204, description = "It is gone"),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(("key" = [])),
)]
pub(crate) async fn delete(
    State(studio): State<Arc<Studio>>,
    holder: KeyHolder,
    Named(id): Named,
) -> Result<StatusCode, Problem> {
    let access = studio.by_key(&holder, &id).await?;
    studio.delete(&access).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Make a link that opens an upload without a key
#[utoipa::path(
    post, path = "/api/v1/uploads/{id}/share", tag = "uploads",
    params(("id" = String, Path, description = "The upload's name in addresses")),
    responses(
        (status = 201, description = "The link; the same until links are made void", body = Link),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(("key" = [])),
)]
pub(crate) async fn share(
    State(studio): State<Arc<Studio>>,
    holder: KeyHolder,
    Named(id): Named,
) -> Result<(StatusCode, Json<Link>), Problem> {
    let access = studio.by_key(&holder, &id).await?;
    let token = studio.share(&access)?;
    let path = format!("/p/{token}");
    Ok((StatusCode::CREATED, Json(Link { token, path })))
}

/// Make all links to an upload void
#[utoipa::path(
    delete, path = "/api/v1/uploads/{id}/share", tag = "uploads",
    params(("id" = String, Path, description = "The upload's name in addresses")),
    responses(
        (status = 204, description = "No link opens it any more"),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(("key" = [])),
)]
pub(crate) async fn unshare(
    State(studio): State<Arc<Studio>>,
    holder: KeyHolder,
    Named(id): Named,
) -> Result<StatusCode, Problem> {
    let access = studio.by_key(&holder, &id).await?;
    studio.unshare(&access).await?;
    Ok(StatusCode::NO_CONTENT)
}
