//! The addresses below `/api`, `/health` and `/metrics`, with their description.

mod catalogue;
mod description;
mod downloads;
mod extracting;
mod health;
mod questions;
mod routes;
mod uploads;

pub(crate) use routes::api_routes;
