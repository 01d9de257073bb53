//! Shared places for the tests that cross rooms, and the printer that they learn from.

pub mod bodies;
pub mod http;
mod mutation;
mod running_service;

use std::path::{Path, PathBuf};

pub mod learning;
pub mod virtual_printer;
pub use mutation::{Damage, mutated};
pub use running_service::RunningService;

/// The repository's root folder.
#[must_use]
pub fn repository() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// A table of `tests/reference`, which holds truth from outside the project.
#[must_use]
pub fn reference(name: &str) -> PathBuf {
    repository().join("tests/reference").join(name)
}
