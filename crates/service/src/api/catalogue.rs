use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use axum::response::Response;
use ledger::StoredAnswer;
use serde::Serialize;
use utoipa::ToSchema;

use crate::api::extracting::Named;
use crate::api::questions::json;
use crate::caller::StudioUser;
use crate::clock::written;
use crate::{InkSetForm, PriceListForm, Problem, Studio, WhatIf};

/// A kept answer, without its document.
#[derive(Serialize, ToSchema)]
pub(crate) struct KeptAnswer {
    /// Its number; the document is below `/api/v1/answers`.
    number: i64,
    /// "estimate", "comparison" or "quote".
    kind: String,
    /// When it was made, in universal time.
    #[schema(format = DateTime)]
    made_at: String,
    /// What was asked.
    asked: WhatIf,
}

/// The ink sets on offer, the first for uploads
#[utoipa::path(
    get, path = "/api/v1/ink-sets", tag = "catalogue",
    responses((status = 200, description = "The ink sets", body = Vec<InkSetForm>)),
    security(()),
)]
pub(crate) async fn ink_sets(State(studio): State<Arc<Studio>>) -> Json<Vec<InkSetForm>> {
    Json(studio.ink_sets().to_vec())
}

/// The price lists on offer, the first for uploads
#[utoipa::path(
    get, path = "/api/v1/price-lists", tag = "catalogue",
    responses((status = 200, description = "The price lists", body = Vec<PriceListForm>)),
    security(()),
)]
pub(crate) async fn price_lists(State(studio): State<Arc<Studio>>) -> Json<Vec<PriceListForm>> {
    Json(studio.price_lists().to_vec())
}

/// The kept answers about an upload
#[utoipa::path(
    get, path = "/api/v1/uploads/{id}/answers", tag = "questions",
    params(("id" = String, Path, description = "The upload's name in addresses")),
    responses(
        (status = 200, description = "Oldest first", body = Vec<KeptAnswer>),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(("key" = [])),
)]
pub(crate) async fn answers(
    State(studio): State<Arc<Studio>>,
    user: StudioUser,
    Named(id): Named,
) -> Result<Json<Vec<KeptAnswer>>, Problem> {
    let access = studio.for_studio(&user, &id).await?;
    let number = access.upload.number;
    let kept = studio.blocking(move |studio| Ok(studio.asking.lock().answers(number)?)).await?;
    Ok(Json(kept.into_iter().map(KeptAnswer::from).collect()))
}

/// The document of a kept answer
#[utoipa::path(
    get, path = "/api/v1/answers/{number}", tag = "questions",
    params(("number" = String, Path, description = "The answer's number")),
    responses(
        (status = 200, description = "The document as it was given", body = Object),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(("key" = [])),
)]
pub(crate) async fn answer(
    State(studio): State<Arc<Studio>>,
    _user: StudioUser,
    Named(number): Named,
) -> Result<Response, Problem> {
    let unknown = || Problem::unknown("answer");
    let number: i64 = number.parse().map_err(|_| unknown())?;
    let kept = studio.blocking(move |studio| Ok(studio.asking.lock().answer(number)?)).await?;
    Ok(json(kept.ok_or_else(unknown)?.answer.document))
}

impl From<StoredAnswer> for KeptAnswer {
    fn from(stored: StoredAnswer) -> Self {
        Self {
            number: stored.number,
            kind: stored.answer.kind.word().to_owned(),
            made_at: written(stored.answer.made_at),
            asked: serde_json::from_str(&stored.answer.asked).unwrap_or_default(),
        }
    }
}
