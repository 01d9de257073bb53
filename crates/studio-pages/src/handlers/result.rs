use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::Markup;
use service::{
    Access, PictureFacts, Problem, ProblemClass, Studio, StudioUser, UploadForm, Visitor, WhatIf,
};

use super::answer_page::WorkedOut;
use super::asked::{asked, form, question};
use super::page_response::{frame, page, refused};
use super::studio_uploads;
use crate::views::{Answer, PictureLine, Place, ResultPage, waiting_page};
use crate::wish::{Wish, address};

/// The pairs of an address.
pub(crate) type Pairs = Query<Vec<(String, String)>>;

/// `GET /p/{token}`: a picture for whoever holds its link.
pub(crate) async fn shared(
    State(studio): State<Arc<Studio>>,
    visitor: Visitor,
    Path(token): Path<String>,
    Query(query): Pairs,
) -> Response {
    let here = format!("/p/{token}");
    let pictures = format!("/api/v1/shared/{token}");
    match studio.by_token(visitor, &token).await {
        Ok(access) => {
            let subject = Subject { access, here: &here, pictures: &pictures, user: None };
            subject.page(&studio, &query).await
        }
        Err(problem) => refused(&studio, Place::Public, &problem),
    }
}

/// `GET /studio/uploads/{id}`: the same for the studio, with what only it may see.
pub(crate) async fn of_studio(
    State(studio): State<Arc<Studio>>,
    user: Option<StudioUser>,
    Path(id): Path<String>,
    Query(query): Pairs,
) -> Response {
    let Some(user) = user else { return super::page_response::see("/studio/sign-in") };
    let here = format!("/studio/uploads/{id}");
    let pictures = format!("/api/v1/uploads/{id}");
    match studio.for_studio(&user, &id).await {
        Ok(access) => {
            let subject = Subject { access, here: &here, pictures: &pictures, user: Some(user) };
            subject.page(&studio, &query).await
        }
        Err(problem) => refused(&studio, Place::Studio("Uploads"), &problem),
    }
}

/// A picture that is looked at, and from where.
struct Subject<'a> {
    access: Access,
    /// The page's own address.
    here: &'a str,
    /// The upload's address in the interface.
    pictures: &'a str,
    /// Who looks, if the studio does.
    user: Option<StudioUser>,
}

impl Subject<'_> {
    fn place(&self) -> Place {
        if self.user.is_some() { Place::Studio("Uploads") } else { Place::Public }
    }

    async fn page(&self, studio: &Arc<Studio>, query: &[(String, String)]) -> Response {
        let upload = match studio.upload(&self.access).await {
            Ok(upload) => upload,
            Err(problem) => return refused(studio, self.place(), &problem),
        };
        match (&upload.picture, &upload.problem) {
            (Some(picture), _) => {
                let wish = asked(query, &upload);
                self.counted(studio, &upload, picture, &wish, query).await
            }
            (None, Some(problem)) => refused(studio, self.place(), problem),
            (None, None) => {
                page(waiting_page(&frame(studio, self.place()), &upload.name, self.here))
            }
        }
    }

    async fn counted(
        &self,
        studio: &Arc<Studio>,
        upload: &UploadForm,
        picture: &PictureFacts,
        wish: &Wish,
        query: &[(String, String)],
    ) -> Response {
        let (what_if, refusal) = match question(studio, wish) {
            Ok(what_if) => (what_if, None),
            Err(problem) => (WhatIf::default(), Some(problem)),
        };
        let worked = match refusal {
            Some(problem) => Err(problem),
            None => WorkedOut::ask(studio, &self.access, &what_if).await,
        };
        let answer = match &worked {
            Ok(worked) => worked.answer(studio, picture, wish, &what_if, self.pictures),
            Err(problem) => Answer::Refused(&problem.detail),
        };
        let result = ResultPage {
            frame: frame(studio, self.place()),
            picture: picture_line(upload, picture, self.pictures),
            form: form(studio, self.here, wish, picture, &what_if.ink_set, self.user.is_some()),
            answer,
            link: address(&self.link_path(studio), &wish.pairs()),
            studio: self.studio_part(studio, worked.as_ref().ok(), &what_if, wish, query).await,
        };
        let status = worked.as_ref().map_or_else(status_of, |_| StatusCode::OK);
        (status, page(result.document())).into_response()
    }

    /// The path by which others see the picture: the page's own, or for the studio that of a link.
    fn link_path(&self, studio: &Studio) -> String {
        match (&self.user, studio.share(&self.access)) {
            (Some(_), Ok(token)) => format!("/p/{token}"),
            _ => self.here.to_owned(),
        }
    }

    async fn studio_part(
        &self,
        studio: &Arc<Studio>,
        worked: Option<&WorkedOut>,
        what_if: &WhatIf,
        wish: &Wish,
        query: &[(String, String)],
    ) -> Option<Markup> {
        let user = self.user.as_ref()?;
        let part = studio_uploads::Part {
            user,
            access: &self.access,
            what_if,
            wish,
            here: self.here,
            query,
        };
        Some(part.markup(studio, worked.map_or(&[], WorkedOut::estimates)).await)
    }
}

/// Without a size there is no price yet, which is no mistake of whoever opens the page.
fn status_of(problem: &Problem) -> StatusCode {
    match problem.class {
        ProblemClass::Usage | ProblemClass::NoPrice => StatusCode::OK,
        _ => problem.status(),
    }
}

fn picture_line<'a>(
    upload: &'a UploadForm,
    picture: &'a PictureFacts,
    pictures: &str,
) -> PictureLine<'a> {
    PictureLine {
        name: &upload.name,
        format: &picture.format,
        width_px: picture.width_px,
        height_px: picture.height_px,
        received: upload.received_at.get(..10).unwrap_or(&upload.received_at),
        kept: upload.picture_kept,
        preview: address(&format!("{pictures}/pictures/intended"), &[("longest_side", "300")]),
    }
}
