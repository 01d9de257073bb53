use std::sync::Arc;

use axum::extract::State;
use axum::response::Response;
use service::{Problem, Studio, StudioUser, UploadQuery};

use super::page_response::{frame, page, refused, see};
use crate::views::{Place, overview_page, printer_page};

/// Uploads on the first page.
const LATEST: u32 = 8;

/// `GET /studio`.
pub(crate) async fn overview(
    State(studio): State<Arc<Studio>>,
    user: Option<StudioUser>,
) -> Response {
    let Some(user) = user else { return see("/studio/sign-in") };
    let place = Place::Studio("Overview");
    match overview_of(&studio, &user, place).await {
        Ok(response) => response,
        Err(problem) => refused(&studio, place, &problem),
    }
}

async fn overview_of(
    studio: &Arc<Studio>,
    user: &StudioUser,
    place: Place,
) -> Result<Response, Problem> {
    let months = studio.months(user).await?;
    let query = UploadQuery { limit: Some(LATEST), ..UploadQuery::default() };
    let latest = studio.uploads(user, query).await?;
    Ok(page(overview_page(&frame(studio, place), &months, &latest.uploads)))
}

/// `GET /studio/printer`.
pub(crate) async fn printer(
    State(studio): State<Arc<Studio>>,
    user: Option<StudioUser>,
) -> Response {
    let Some(user) = user else { return see("/studio/sign-in") };
    let place = Place::Studio("Printer");
    match studio.standings(&user).await {
        Ok(standings) => page(printer_page(&frame(&studio, place), &standings)),
        Err(problem) => refused(&studio, place, &problem),
    }
}
