use std::fmt;
use std::io;
use std::path::PathBuf;

use estimating::EstimatingError;
use intake::IntakeError;
use jpeg_encoder::EncodingError;
use thiserror::Error;

/// Why a proof could not be made.
#[derive(Debug, Error)]
pub(crate) enum BenchError {
    #[error("{}: {cause}", path.display())]
    File { path: PathBuf, cause: io::Error },
    #[error("{}: {cause}", path.display())]
    Picture { path: PathBuf, cause: IntakeError },
    #[error("{}: {cause}", path.display())]
    Encoding { path: PathBuf, cause: EncodingError },
    #[error("{}: {detail}", path.display())]
    Writing { path: PathBuf, detail: String },
    #[error(transparent)]
    Estimating(#[from] EstimatingError),
    #[error("the text of ink set `{set}` holds no `{key}` that could be changed")]
    NothingToChange { set: &'static str, key: &'static str },
    #[error("{table}\nthese levers don't work as expected: {flipped}")]
    FlippedSigns { table: String, flipped: String },
    #[error("{} holds no RGB photographs of 8 bits", folder.display())]
    NoPhotographs { folder: PathBuf },
    #[error("`{command}` failed: {detail}")]
    Program { command: String, detail: String },
    #[error("the service {detail}")]
    Service { detail: String },
    #[error("a killed import left {jobs} of {rows} jobs")]
    HalfAnImport { jobs: usize, rows: usize },
    #[error(
        "this is a build for debugging, whose times mean nothing; run it with `cargo run --release`"
    )]
    DebugBuild,
}

impl BenchError {
    /// Puts the file's name to what befell it.
    pub(crate) fn file(path: impl Into<PathBuf>) -> impl FnOnce(io::Error) -> Self {
        let path = path.into();
        move |cause| Self::File { path, cause }
    }

    /// Says why a picture could not be written.
    pub(crate) fn writing(path: impl Into<PathBuf>, detail: &impl fmt::Display) -> Self {
        Self::Writing { path: path.into(), detail: detail.to_string() }
    }

    /// Puts what was done to what befell a service.
    pub(crate) fn service(doing: &str) -> impl Fn(io::Error) -> Self {
        move |cause| Self::Service { detail: format!("failed at {doing}: {cause}") }
    }

    /// Puts the picture's name to what befell it.
    pub(crate) fn picture(path: impl Into<PathBuf>) -> impl Fn(IntakeError) -> Self {
        let path = path.into();
        move |cause| Self::Picture { path: path.clone(), cause }
    }
}
