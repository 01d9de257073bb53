use std::io;
use std::path::PathBuf;

use charts::ChartError;
use dosing::DosingError;
use estimating::{EstimatingError, MixtureTextError};
use icc::IccError;
use inkset::InkSetError;
use ledger::{LedgerError, TableFaults};
use picture_files::PictureFileError;
use pricing::PricingError;
use print_model::FitError;
use proof::ProofError;
use thiserror::Error;

use crate::Exit;

/// Why a whole run ends early. What befalls a single file is reported beside the others'
/// results.
#[derive(Debug, Error)]
pub(crate) enum ShellError {
    #[error(
        "ink set `{name}` is neither built in ({built_in}) nor a file{}",
        did_you_mean(nearest)
    )]
    UnknownInkSet { name: String, built_in: String, nearest: Option<String> },
    #[error("ink set {}: {cause}; choose another file", path.display())]
    UnreadableInkSet { path: PathBuf, cause: io::Error },
    #[error(
        "output profile {} of ink set `{set}`: {cause}; correct output_profile in the ink set, whose \
         folder the path starts from",
        path.display()
    )]
    UnreadableOutputProfile { set: String, path: PathBuf, cause: io::Error },
    #[error(transparent)]
    FaultyInkSet(#[from] InkSetError),
    #[error("{0}")]
    UnusableInkSet(EstimatingError),
    #[error("chart {}: {cause}; choose another file", path.display())]
    UnreadableChart { path: PathBuf, cause: io::Error },
    #[error(transparent)]
    FaultyChart(#[from] ChartError),
    #[error("{}: {cause}", path.display())]
    Unfit { path: PathBuf, cause: FitError },
    #[error(
        "price list `{name}` is neither built in ({built_in}) nor a file{}",
        did_you_mean(nearest)
    )]
    UnknownPriceList { name: String, built_in: String, nearest: Option<String> },
    #[error("{}: {cause}; choose another file", path.display())]
    UnreadableList { path: PathBuf, cause: io::Error },
    #[error(transparent)]
    Pricing(#[from] PricingError),
    #[error("there are no jobs: name pictures, a folder of them, or --jobs with a list")]
    NoJobs,
    #[error("the list of files is empty; write a file, folder or pattern on each line")]
    EmptyList,
    #[error("list of files {}: {cause}; choose another", path.display())]
    UnreadableFileList { path: PathBuf, cause: io::Error },
    #[error("{}: {cause}; choose another folder", path.display())]
    UnreadableFolder { path: PathBuf, cause: io::Error },
    #[error(
        "folder {} is watched by another run already; end that one first", folder.display()
    )]
    WatchedAlready { folder: PathBuf },
    #[error(
        "journal {}: {cause}; put it right, or remove it to have every file of the folder \
         estimated anew",
        path.display()
    )]
    FaultyJournal { path: PathBuf, cause: String },
    #[error("profile {}: {cause}; choose another file", path.display())]
    UnreadableProfile { path: PathBuf, cause: io::Error },
    #[error("profile {}: {cause}", path.display())]
    UnusableProfile { path: PathBuf, cause: IccError },
    #[error("a separation is of one page; give --page one number and run it once for each page")]
    SeveralPagesInOneFile,
    #[error("one ink set makes no comparison; give --ink-set at least twice")]
    NothingToCompare,
    #[error(
        "--no-black-point-compensation goes with --intent relative alone: perceptual rendering \
         always compensates, absolute never does"
    )]
    CompensationOfOtherIntent,
    #[error("a page needs two ink sets to compare; use compare, or choose table, json or csv")]
    PageOfOneSet,
    #[error("{0}")]
    NotCollected(EstimatingError),
    #[error(
        "--collected knows pictures as they are usually read; leave out the options for pages, \
         damage, CMYK and drawing, or --collected"
    )]
    CollectedUsually,
    #[error("{0}")]
    Thresholds(#[from] ProofError),
    #[error("ink set `{name}` is given twice; compare different sets")]
    SameInkSetTwice { name: String },
    #[error(transparent)]
    Ledger(#[from] LedgerError),
    #[error("{0}")]
    Calibration(EstimatingError),
    #[error(transparent)]
    Fit(#[from] DosingError),
    #[error("{}: {faults}", path.display())]
    FaultyJobs { path: PathBuf, faults: TableFaults },
    #[error("{0}")]
    FaultyJob(String),
    #[error("{}: {cause}; choose another file", path.display())]
    UnreadableJobs { path: PathBuf, cause: io::Error },
    #[error(
        "no place for a ledger: neither XDG_DATA_HOME nor HOME is an absolute path; pass --ledger"
    )]
    NoLedgerPlace,
    #[error("the machine's clock gives no date from 1980 to 2999; set it")]
    NoDate,
    #[error("nothing is to be corrected; give at least one new value")]
    NothingToCorrect,
    #[error(
        "no job of ink set `{ink_set}` in print mode `{print_mode}` can be used; `jobs add` and \
         `jobs import` add some"
    )]
    NoUsableJobs { ink_set: String, print_mode: String },
    #[error(
        "ink set `{ink_set}` has no calibration in print mode `{print_mode}`; `calibration fit` \
         makes one"
    )]
    NotCalibrated { ink_set: String, print_mode: String },
    #[error("configuration {}: {cause}; choose another file", path.display())]
    UnreadableConfiguration { path: PathBuf, cause: io::Error },
    #[error("{}", .0.join("\n"))]
    Configuration(Vec<String>),
    #[error("the service: {0}")]
    Service(String),
    #[error("there is no key {number} that is not void; `keys list` shows all")]
    NoSuchKey { number: i64 },
    #[error("{} exists already; choose another path or remove it first", path.display())]
    Exists { path: PathBuf },
    #[error("{}: {cause}; choose a path that can be written", path.display())]
    Unwritable { path: PathBuf, cause: io::Error },
    #[error("{}: {cause}", path.display())]
    UnwrittenPicture { path: PathBuf, cause: PictureFileError },
    #[error("{}, line {line}: {cause}; correct the list", path.display())]
    ColourList { path: PathBuf, line: u64, cause: String },
    #[error(transparent)]
    Mixture(#[from] MixtureTextError),
    #[error("standard output: {0}")]
    StandardOutput(io::Error),
    #[cfg(feature = "parquet")]
    #[error("a terminal can't show Parquet; name a file with --output, or pipe the result")]
    NoText,
    #[cfg(feature = "parquet")]
    #[error("the report can't be written as Parquet: {0}")]
    Parquet(String),
    #[error("the report can't be written as JSON: {0}")]
    Json(String),
}

impl ShellError {
    pub(crate) const fn exit(&self) -> Exit {
        match self {
            Self::UnknownInkSet { .. }
            | Self::UnreadableInkSet { .. }
            | Self::UnreadableOutputProfile { .. }
            | Self::FaultyInkSet(_)
            | Self::UnusableInkSet(_) => Exit::InkSet,
            Self::UnreadableChart { .. } | Self::FaultyChart(_) | Self::Unfit { .. } => {
                Exit::AllFilesFailed
            }
            Self::UnknownPriceList { .. }
            | Self::UnreadableList { .. }
            | Self::Pricing(PricingError::Faulty { .. }) => Exit::List,
            Self::UnreadableFolder { .. }
            | Self::UnreadableFileList { .. }
            | Self::FaultyJournal { .. } => Exit::AllFilesFailed,
            Self::Pricing(_) => Exit::NoPrice,
            Self::UnreadableProfile { .. }
            | Self::UnusableProfile { .. }
            | Self::NothingToCompare
            | Self::NoJobs
            | Self::SeveralPagesInOneFile
            | Self::EmptyList
            | Self::NotCollected(_)
            | Self::CollectedUsually
            | Self::CompensationOfOtherIntent
            | Self::PageOfOneSet
            | Self::ColourList { .. }
            | Self::Mixture(_)
            | Self::Thresholds(_)
            | Self::NothingToCorrect
            | Self::WatchedAlready { .. }
            | Self::SameInkSetTwice { .. } => Exit::Usage,
            Self::Ledger(_)
            | Self::Calibration(_)
            | Self::Fit(_)
            | Self::FaultyJobs { .. }
            | Self::FaultyJob(_)
            | Self::UnreadableJobs { .. }
            | Self::NoLedgerPlace
            | Self::NoDate
            | Self::NoUsableJobs { .. }
            | Self::NotCalibrated { .. } => Exit::Ledger,
            Self::UnreadableConfiguration { .. }
            | Self::Configuration(_)
            | Self::Service(_)
            | Self::NoSuchKey { .. } => Exit::Service,
            Self::Exists { .. }
            | Self::Unwritable { .. }
            | Self::UnwrittenPicture { .. }
            | Self::StandardOutput(_)
            | Self::Json(_) => Exit::Output,
            #[cfg(feature = "parquet")]
            Self::Parquet(_) => Exit::Output,
            #[cfg(feature = "parquet")]
            Self::NoText => Exit::Usage,
        }
    }
}

fn did_you_mean(nearest: &Option<String>) -> String {
    nearest.as_ref().map_or_else(String::new, |name| format!(", did you mean `{name}`?"))
}
