//! The studio's pages: upload, result and studio view as HTML that works without script.
//!
//! [`routes`] is all that the shell needs: it mounts them beside the interface of `service`.
//! Deliberately absent: how pictures are counted and priced, storage, and who may do what.

mod assets;
mod handlers;
mod print_length;
mod routes;
mod views;
mod wish;

pub use routes::routes;
