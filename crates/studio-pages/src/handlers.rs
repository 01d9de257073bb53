//! From requests to views and back: each asks the service and chooses a page.

mod answer_page;
mod asked;
pub(crate) mod asset;
mod page_response;
pub(crate) mod result;
pub(crate) mod studio_session;
pub(crate) mod studio_uploads;
pub(crate) mod studio_view;
pub(crate) mod upload;
