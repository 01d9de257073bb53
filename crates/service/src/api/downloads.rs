use std::sync::Arc;

use axum::extract::State;
use axum::http::{HeaderName, HeaderValue, header};
use axum::response::{IntoResponse as _, Response};
use ledger::AnswerKind;
use report::Letter;

use crate::access::{Access, Rights};
use crate::api::extracting::{Named, NamedPair, Query, word};
use crate::api::questions::document;
use crate::caller::{KeyHolder, Visitor};
use crate::clock::{now, written};
use crate::proof_pictures::ProofPicture;
use crate::{Problem, ProblemClass, Studio, WhatIf};

/// The form of a downloaded report.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Form {
    Html,
    Csv,
    Json,
}

const FORMS: [(&str, Form); 3] = [("html", Form::Html), ("csv", Form::Csv), ("json", Form::Json)];

/// A report as a file
#[utoipa::path(
    get, path = "/api/v1/uploads/{id}/report", tag = "downloads",
    params(
        ("id" = String, Path, description = "The upload's name in addresses"),
        ("kind" = Option<String>, Query, description = "estimate, comparison or quote; comparison"),
        ("format" = Option<String>, Query, description = "html, csv or json; html"),
        ("ink_set" = Option<Vec<String>>, Query, description = "Ink sets, with the other names of a question"),
        ("width" = Option<String>, Query, description = "Printed width, such as 60cm"),
    ),
    responses(
        (status = 200, description = "The report", content(
            (String = "text/html"), (String = "text/csv"), (Object = "application/json"))),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(("key" = [])),
)]
pub(crate) async fn report(
    State(studio): State<Arc<Studio>>,
    holder: KeyHolder,
    Named(id): Named,
    query: Query,
) -> Result<Response, Problem> {
    let access = studio.by_key(&holder, &id).await?;
    download(&studio, &access, query).await
}

/// A report about a shared upload as a file
#[utoipa::path(
    get, path = "/api/v1/shared/{token}/report", tag = "shared",
    params(
        ("token" = String, Path, description = "The link's token"),
        ("kind" = Option<String>, Query, description = "estimate, comparison or quote; comparison"),
        ("format" = Option<String>, Query, description = "html, csv or json; html"),
        ("ink_set" = Option<Vec<String>>, Query, description = "Ink sets, with the other names of a question"),
        ("width" = Option<String>, Query, description = "Printed width, such as 60cm"),
    ),
    responses(
        (status = 200, description = "The report", content(
            (String = "text/html"), (String = "text/csv"), (Object = "application/json"))),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(()),
)]
pub(crate) async fn report_shared(
    State(studio): State<Arc<Studio>>,
    visitor: Visitor,
    Named(token): Named,
    query: Query,
) -> Result<Response, Problem> {
    let access = studio.by_token(visitor, &token).await?;
    download(&studio, &access, query).await
}

/// A picture of a proof
#[utoipa::path(
    get, path = "/api/v1/uploads/{id}/pictures/{which}", tag = "downloads",
    params(
        ("id" = String, Path, description = "The upload's name in addresses"),
        ("which" = String, Path, description = "intended, proof, difference, load or between"),
        ("ink_set" = Option<Vec<String>>, Query, description = "Ink set; two for `between`"),
        ("longest_side" = Option<u32>, Query, minimum = 16, maximum = 2000, description = "Pixels; 1200"),
    ),
    responses(
        (status = 200, description = "The picture in sRGB", body = Vec<u8>, content_type = "image/png"),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(("key" = [])),
)]
pub(crate) async fn picture(
    State(studio): State<Arc<Studio>>,
    holder: KeyHolder,
    NamedPair(id, which): NamedPair,
    query: Query,
) -> Result<Response, Problem> {
    let access = studio.by_key(&holder, &id).await?;
    drawn(&studio, &access, &which, query).await
}

/// A picture of a proof of a shared upload
#[utoipa::path(
    get, path = "/api/v1/shared/{token}/pictures/{which}", tag = "shared",
    params(
        ("token" = String, Path, description = "The link's token"),
        ("which" = String, Path, description = "intended, proof, difference, load or between"),
        ("ink_set" = Option<Vec<String>>, Query, description = "Ink set; two for `between`"),
        ("longest_side" = Option<u32>, Query, minimum = 16, maximum = 2000, description = "Pixels; 1200"),
    ),
    responses(
        (status = 200, description = "The picture in sRGB", body = Vec<u8>, content_type = "image/png"),
        (status = "default", description = "Refused", body = Problem,
            content_type = "application/problem+json"),
    ),
    security(()),
)]
pub(crate) async fn picture_shared(
    State(studio): State<Arc<Studio>>,
    visitor: Visitor,
    NamedPair(token, which): NamedPair,
    query: Query,
) -> Result<Response, Problem> {
    let access = studio.by_token(visitor, &token).await?;
    drawn(&studio, &access, &which, query).await
}

/// Usual longer side of a proof: what a desktop page shows.
const USUAL_SIDE: u32 = 1200;

async fn drawn(
    studio: &Arc<Studio>,
    access: &Access,
    which: &str,
    mut query: Query,
) -> Result<Response, Problem> {
    let which = word("the picture", which, &ProofPicture::WORDS)
        .map_err(|problem| Problem::new(ProblemClass::Unknown, problem.detail))?;
    let side = query.take_number("longest_side")?.unwrap_or(USUAL_SIDE);
    let png = studio.proof_picture(access, &query.what_if()?, which, side).await?;
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static("image/png")),
        // The same address always shows the same, as long as the studio doesn't calibrate anew.
        (header::CACHE_CONTROL, HeaderValue::from_static("private, max-age=600")),
    ];
    Ok((headers, png).into_response())
}

async fn download(
    studio: &Arc<Studio>,
    access: &Access,
    mut query: Query,
) -> Result<Response, Problem> {
    let kind = query.take_word("kind", &AnswerKind::WORDS)?.unwrap_or(AnswerKind::Comparison);
    let form = query.take_word("format", &FORMS)?.unwrap_or(Form::Html);
    let what_if = query.what_if()?;
    let text = match form {
        Form::Json => document(studio, access, kind, &what_if).await?,
        Form::Csv => csv(studio, access, kind, &what_if).await?,
        Form::Html => html(studio, access, kind, &what_if).await?,
    };
    let (content, ending) = match form {
        Form::Json => ("application/json", "json"),
        Form::Csv => ("text/csv; charset=utf-8", "csv"),
        Form::Html => ("text/html; charset=utf-8", "html"),
    };
    let file = format!("attachment; filename=\"inkfathom-{}.{ending}\"", kind.word());
    let mut response = text.into_response();
    let headers = response.headers_mut();
    headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(content));
    if let Ok(file) = HeaderValue::from_str(&file) {
        headers.insert(header::CONTENT_DISPOSITION, file);
    }
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("private, no-store"));
    // The page brings its own style and policy; nothing of it may act in the service's name.
    let sandbox = HeaderValue::from_static("sandbox allow-scripts");
    headers.insert(HeaderName::from_static("content-security-policy"), sandbox);
    Ok(response)
}

async fn csv(
    studio: &Arc<Studio>,
    access: &Access,
    kind: AnswerKind,
    what_if: &WhatIf,
) -> Result<String, Problem> {
    Ok(match kind {
        AnswerKind::Estimate => studio.estimate(access, what_if).await?.to_csv(),
        AnswerKind::Comparison => studio.comparison(access, what_if).await?.to_csv(),
        AnswerKind::Quote => studio.quote(access, what_if).await?.to_csv(),
    })
}

async fn html(
    studio: &Arc<Studio>,
    access: &Access,
    kind: AnswerKind,
    what_if: &WhatIf,
) -> Result<String, Problem> {
    let letter = Letter {
        sender: Some(studio.settings().studio_name.clone()),
        title: None,
        date: written(now()).get(..10).map(str::to_owned),
        note: None,
    };
    match kind {
        AnswerKind::Estimate => Err(Problem::new(
            ProblemClass::Usage,
            "a page compares ink sets; ask for kind=comparison, or for format=csv or json",
        )),
        AnswerKind::Quote => {
            let for_customer = access.rights() < Rights::Studio;
            Ok(studio.priced(access, what_if).await?.to_html(&letter, for_customer))
        }
        AnswerKind::Comparison => studio.comparison_page(access, what_if, letter).await,
    }
}
