use std::sync::Arc;

use axum::Form;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use maud::Markup;
use report::wire;
use service::{
    Access, MeasuredEntry, Problem, ProblemClass, Studio, StudioUser, UploadQuery, WhatIf,
};

use super::asked::question;
use super::page_response::{frame, page, refused, see};
use super::result::Pairs;
use super::upload;
use crate::views::{Place, StudioPart, uploads_page};
use crate::wish::{Wish, address};

const HERE: Place = Place::Studio("Uploads");

/// `GET /studio/uploads`.
pub(crate) async fn list(
    State(studio): State<Arc<Studio>>,
    user: Option<StudioUser>,
    Query(query): Pairs,
) -> Response {
    let Some(user) = user else { return see("/studio/sign-in") };
    let value = |wanted: &str| {
        query.iter().find(|(name, _)| name == wanted).map(|(_, value)| value.trim().to_owned())
    };
    let search = value("search").unwrap_or_default();
    let asked = UploadQuery {
        search: Some(search.clone()).filter(|search| !search.is_empty()),
        after: value("after"),
        ..UploadQuery::default()
    };
    match studio.uploads(&user, asked).await {
        Ok(uploads) => page(uploads_page(&frame(&studio, HERE), &uploads, &search)),
        Err(problem) => refused(&studio, HERE, &problem),
    }
}

/// `GET /studio/new`.
pub(crate) async fn new(State(studio): State<Arc<Studio>>, user: Option<StudioUser>) -> Response {
    match user {
        Some(_) => upload::page_of(&studio, Place::Studio("New picture")),
        None => see("/studio/sign-in"),
    }
}

/// `POST /studio/uploads/{id}/unshare`.
pub(crate) async fn unshare(
    State(studio): State<Arc<Studio>>,
    user: StudioUser,
    Path(id): Path<String>,
) -> Response {
    let done = match studio.for_studio(&user, &id).await {
        Ok(access) => studio.unshare(&access).await,
        Err(problem) => Err(problem),
    };
    after(&studio, done, &format!("/studio/uploads/{id}"))
}

/// `POST /studio/uploads/{id}/delete`.
pub(crate) async fn delete(
    State(studio): State<Arc<Studio>>,
    user: StudioUser,
    Path(id): Path<String>,
) -> Response {
    let done = match studio.for_studio(&user, &id).await {
        Ok(access) => studio.delete(&access).await,
        Err(problem) => Err(problem),
    };
    after(&studio, done, "/studio/uploads")
}

fn after(studio: &Studio, done: Result<(), Problem>, next: &str) -> Response {
    match done {
        Ok(()) => see(next),
        Err(problem) => refused(studio, HERE, &problem),
    }
}

/// `POST /studio/uploads/{id}/measured`: what a printer reported of the print that is asked for.
pub(crate) async fn measured(
    State(studio): State<Arc<Studio>>,
    user: StudioUser,
    Path(id): Path<String>,
    Form(fields): Form<Vec<(String, String)>>,
) -> Response {
    let wish = Wish::of_pairs(fields.iter().map(|(name, value)| (name.as_str(), value.as_str())));
    let said = match keep(&studio, &user, &id, &fields, &wish).await {
        Ok(number) => ("kept", number.to_string()),
        Err(problem) if problem.class == ProblemClass::Unknown => {
            return refused(&studio, HERE, &problem);
        }
        Err(problem) => ("fault", problem.detail),
    };
    let mut pairs = wish.pairs();
    pairs.push((said.0, &said.1));
    see(&(address(&format!("/studio/uploads/{id}"), &pairs) + "#measured"))
}

async fn keep(
    studio: &Arc<Studio>,
    user: &StudioUser,
    id: &str,
    fields: &[(String, String)],
    wish: &Wish,
) -> Result<i64, Problem> {
    let access = studio.for_studio(user, id).await?;
    let entry = entry(fields, question(studio, wish)?)?;
    studio.keep_measured(user, &access, entry).await
}

/// A measurement as the form sends it.
fn entry(fields: &[(String, String)], what_if: WhatIf) -> Result<MeasuredEntry, Problem> {
    let value = |wanted: &str| {
        let found = fields.iter().find(|(name, _)| name == wanted);
        found.map_or("", |(_, value)| value.trim())
    };
    let inks = fields.iter().filter_map(|(name, value)| {
        let ink = name.strip_prefix("ml:")?;
        (!value.trim().is_empty()).then(|| Ok((ink.to_owned(), millilitres(ink, value)?)))
    });
    let includes: Vec<&str> = fields
        .iter()
        .filter(|(name, _)| name == "includes")
        .map(|(_, what)| what.as_str())
        .collect();
    let total = value("total_ml");
    Ok(MeasuredEntry {
        what_if,
        printed_on: value("printed_on").to_owned(),
        measured_by: value("measured_by").to_owned(),
        resolution_ml: millilitres("the smallest step", value("resolution_ml"))?,
        includes: includes.join("+"),
        total_ml: (!total.is_empty()).then(|| millilitres("all inks", total)).transpose()?,
        by_ink: inks.collect::<Result<_, Problem>>()?,
    })
}

fn millilitres(what: &str, text: &str) -> Result<f64, Problem> {
    text.trim().replace(',', ".").parse().map_err(|_| {
        Problem::new(ProblemClass::Usage, format!("{what}: `{text}` is no number of millilitres"))
    })
}

/// What the studio sees of an upload, and from where.
pub(crate) struct Part<'a> {
    pub(crate) user: &'a StudioUser,
    pub(crate) access: &'a Access,
    pub(crate) what_if: &'a WhatIf,
    pub(crate) wish: &'a Wish,
    pub(crate) here: &'a str,
    /// The pairs of the address, which say what became of an entry.
    pub(crate) query: &'a [(String, String)],
}

impl Part<'_> {
    /// Costs, measurements and housekeeping.
    pub(crate) async fn markup(
        &self,
        studio: &Arc<Studio>,
        estimates: &[wire::Estimate],
    ) -> Markup {
        let first = WhatIf {
            ink_set: self.what_if.ink_set.iter().take(1).cloned().collect(),
            ..self.what_if.clone()
        };
        let quote = studio.quote(self.access, &first).await;
        let jobs = studio.measured_of(self.user, self.access).await.unwrap_or_default();
        let part = StudioPart {
            here: self.here,
            pairs: self.wish.pairs(),
            estimates,
            quote: quote
                .as_ref()
                .map(report::QuoteReport::document)
                .map_err(|fault| fault.detail.clone()),
            jobs: &jobs,
            said: self.said(),
            today: studio.today(),
        };
        part.markup()
    }

    /// What became of the last entry.
    fn said(&self) -> Option<(bool, String)> {
        self.query.iter().find_map(|(name, value)| match name.as_str() {
            "kept" => Some((true, format!("kept as job {value}"))),
            "fault" => Some((false, value.clone())),
            _ => None,
        })
    }
}
