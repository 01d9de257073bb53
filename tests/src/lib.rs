//! Shared places for the tests that cross rooms.

use std::path::{Path, PathBuf};

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
