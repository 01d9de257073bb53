use std::sync::Arc;

use axum::extract::State;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use ledger::AnswerKind;
use serde::Serialize;
use utoipa::ToSchema;

use crate::access::{Access, Rights};
use crate::api::extracting::{JsonBody, Named};
use crate::caller::{KeyHolder, Visitor};
use crate::{CustomerPrice, Problem, Studio, WhatIf};

/// A document of estimates or of a quote, as the command line writes it with `--format json`.
#[derive(Serialize, ToSchema)]
pub(crate) struct ReportDocument {
    /// Version of the form.
    version: u32,
    /// Name and version of the program.
    program: String,
    /// "An estimate is not a measurement."
    disclaimer: String,
}

/// Ink of an upload on one set
///
/// The document is the one that `inkfathom estimate --format json` writes.
#[utoipa::path(
    post, path = "/api/v1/uploads/{id}/estimate", tag = "questions",
    params(("id" = String, Path, description = "The upload's name in addresses")),
    request_body = WhatIf,
    responses(
        (status = 200, description = "The estimate", body = ReportDocument),
        (status = 201, description = "The estimate, which was kept", body = ReportDocument,
            headers(("Location" = String, description = "Where it is kept"))),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(("key" = [])),
)]
pub(crate) async fn estimate(
    State(studio): State<Arc<Studio>>,
    holder: KeyHolder,
    Named(id): Named,
    JsonBody(what_if): JsonBody<WhatIf>,
) -> Result<Response, Problem> {
    let access = studio.by_key(&holder, &id).await?;
    answered(&studio, &access, AnswerKind::Estimate, &what_if).await
}

/// Ink of an upload on several sets, and which of them it needs
///
/// The document is the one that `inkfathom compare --format json` writes.
#[utoipa::path(
    post, path = "/api/v1/uploads/{id}/comparison", tag = "questions",
    params(("id" = String, Path, description = "The upload's name in addresses")),
    request_body = WhatIf,
    responses(
        (status = 200, description = "The comparison", body = ReportDocument),
        (status = 201, description = "The comparison, which was kept", body = ReportDocument,
            headers(("Location" = String, description = "Where it is kept"))),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(("key" = [])),
)]
pub(crate) async fn comparison(
    State(studio): State<Arc<Studio>>,
    holder: KeyHolder,
    Named(id): Named,
    JsonBody(what_if): JsonBody<WhatIf>,
) -> Result<Response, Problem> {
    let access = studio.by_key(&holder, &id).await?;
    answered(&studio, &access, AnswerKind::Comparison, &what_if).await
}

/// Price of an upload
///
/// With a key of the studio the document is the one that `inkfathom quote --format json` writes,
/// otherwise a customer's price.
#[utoipa::path(
    post, path = "/api/v1/uploads/{id}/quote", tag = "questions",
    params(("id" = String, Path, description = "The upload's name in addresses")),
    request_body = WhatIf,
    responses(
        (status = 200, description = "The price", body = Object),
        (status = 201, description = "The price, which was kept", body = Object,
            headers(("Location" = String, description = "Where it is kept"))),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(("key" = [])),
)]
pub(crate) async fn quote(
    State(studio): State<Arc<Studio>>,
    holder: KeyHolder,
    Named(id): Named,
    JsonBody(what_if): JsonBody<WhatIf>,
) -> Result<Response, Problem> {
    let access = studio.by_key(&holder, &id).await?;
    answered(&studio, &access, AnswerKind::Quote, &what_if).await
}

/// Ink of a shared upload on one set
#[utoipa::path(
    post, path = "/api/v1/shared/{token}/estimate", tag = "shared",
    params(("token" = String, Path, description = "The link's token")),
    request_body = WhatIf,
    responses(
        (status = 200, description = "The estimate", body = ReportDocument),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(()),
)]
pub(crate) async fn estimate_shared(
    State(studio): State<Arc<Studio>>,
    visitor: Visitor,
    Named(token): Named,
    JsonBody(what_if): JsonBody<WhatIf>,
) -> Result<Response, Problem> {
    let access = studio.by_token(visitor, &token).await?;
    answered(&studio, &access, AnswerKind::Estimate, &what_if).await
}

/// Ink of a shared upload on several sets, and which of them it needs
#[utoipa::path(
    post, path = "/api/v1/shared/{token}/comparison", tag = "shared",
    params(("token" = String, Path, description = "The link's token")),
    request_body = WhatIf,
    responses(
        (status = 200, description = "The comparison", body = ReportDocument),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(()),
)]
pub(crate) async fn comparison_shared(
    State(studio): State<Arc<Studio>>,
    visitor: Visitor,
    Named(token): Named,
    JsonBody(what_if): JsonBody<WhatIf>,
) -> Result<Response, Problem> {
    let access = studio.by_token(visitor, &token).await?;
    answered(&studio, &access, AnswerKind::Comparison, &what_if).await
}

/// Price of a shared upload, as a customer sees it
#[utoipa::path(
    post, path = "/api/v1/shared/{token}/quote", tag = "shared",
    params(("token" = String, Path, description = "The link's token")),
    request_body = WhatIf,
    responses(
        (status = 200, description = "The price", body = CustomerPrice),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(()),
)]
pub(crate) async fn quote_shared(
    State(studio): State<Arc<Studio>>,
    visitor: Visitor,
    Named(token): Named,
    JsonBody(what_if): JsonBody<WhatIf>,
) -> Result<Response, Problem> {
    let access = studio.by_token(visitor, &token).await?;
    answered(&studio, &access, AnswerKind::Quote, &what_if).await
}

async fn answered(
    studio: &Arc<Studio>,
    access: &Access,
    kind: AnswerKind,
    what_if: &WhatIf,
) -> Result<Response, Problem> {
    let document = document(studio, access, kind, what_if).await?;
    let kept = studio.keep_if_wanted(access, kind, what_if, &document).await?;
    let mut response = json(document);
    if let Some(number) = kept {
        *response.status_mut() = StatusCode::CREATED;
        if let Ok(place) = HeaderValue::from_str(&format!("/api/v1/answers/{number}")) {
            response.headers_mut().insert(header::LOCATION, place);
        }
    }
    Ok(response)
}

/// The JSON document of an answer, as whoever asks may see it.
pub(crate) async fn document(
    studio: &Arc<Studio>,
    access: &Access,
    kind: AnswerKind,
    what_if: &WhatIf,
) -> Result<String, Problem> {
    let document = match kind {
        AnswerKind::Estimate => studio.estimate(access, what_if).await?.to_json(),
        AnswerKind::Comparison => studio.comparison(access, what_if).await?.to_json(),
        AnswerKind::Quote if access.rights() == Rights::Studio => {
            studio.quote(access, what_if).await?.to_json()
        }
        AnswerKind::Quote => serde_json::to_string(&studio.price(access, what_if).await?),
    };
    document.map_err(Problem::internal)
}

/// A document that is JSON already.
pub(crate) fn json(document: String) -> Response {
    let kind = HeaderValue::from_static("application/json");
    ([(header::CONTENT_TYPE, kind)], document).into_response()
}
