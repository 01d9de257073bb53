use std::num::NonZeroU32;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use clap_complete::Shell;

use crate::chart_arguments::ChartCommand;
use crate::colour_commands::ColourCommand;
use crate::exit;
use crate::file_arguments::FileArguments;
use crate::ledger_arguments::{
    CalibrationCommand, CalibrationUse, DriftArguments, JobsCommand, LedgerPath,
};
use crate::page_arguments::PageArguments;
use crate::picture_options::PictureOptions;
use crate::pricing_arguments::{
    PaybackArguments, PriceListCommand, QuoteArguments, RoutingArguments,
};
use crate::print_arguments::PrintArguments;
use crate::profile_command::ProfileCommand;
use crate::proof_command::ProofArguments;
use crate::separate_command::SeparateArguments;
use crate::service_arguments::{
    BackupArguments, CountUploadArguments, KeysCommand, ServeArguments,
};
use crate::thresholds::ThresholdArguments;
use crate::watch_arguments::WatchArguments;

/// Predicts the ink that a picture takes, before it is printed.
#[derive(Debug, Parser)]
#[command(name = "inkfathom", version = version(), after_help = exit::AFTER_HELP)]
pub(crate) struct Arguments {
    /// Threads that work at once, 1 to 256; as many as the machine runs unless stated. The result
    /// is the same for any number
    #[arg(long, global = true, value_name = "COUNT",
          value_parser = clap::value_parser!(u16).range(1..=256))]
    pub(crate) threads: Option<u16>,
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Estimate the millilitres of each ink that pictures take
    #[command(after_help = "Example: inkfathom estimate shore.png --ink-set nine --width 60cm")]
    Estimate(EstimateArguments),
    /// Compare the ink that the same pictures take on several ink sets, and whether each holds the colours
    #[command(
        after_help = "Example: inkfathom compare shore.png --ink-set five --ink-set eleven --width 60cm"
    )]
    Compare(CompareArguments),
    /// Estimate pictures that are put into a folder, as soon as they are complete
    #[command(
        after_help = "Example: inkfathom watch uploads --ink-set five --ink-set eleven --width 60cm"
    )]
    Watch(WatchArguments),
    /// Write what pictures would look like on ink sets: soft proofs, maps and single inks
    #[command(
        after_help = "Example: inkfathom proof shore.png --ink-set five --ink-set eleven --output proofs"
    )]
    Proof(ProofArguments),
    /// Write the coverage of every ink at every pixel as a TIFF file
    #[command(
        after_help = "Example: inkfathom separate shore.png --ink-set nine --width 60cm --output shore-inks.tif"
    )]
    Separate(SeparateArguments),
    /// Write ICC profiles
    #[command(subcommand)]
    Profile(ProfileCommand),
    /// Separate single colours, and predict what mixtures of inks print
    #[command(subcommand)]
    Colours(ColourCommand),
    /// Read measured charts and fit ink sets to them
    #[command(subcommand)]
    Chart(ChartCommand),
    /// Price pictures that are printed together, line by line
    #[command(
        after_help = "Example: inkfathom quote shore.png --ink-set five --width 60cm --copies 3"
    )]
    Quote(QuoteArguments),
    /// Send each of a month's jobs to the cheapest ink set that holds its colours
    #[command(
        after_help = "Example: inkfathom routing prints --ink-set five --ink-set eleven --width 45cm --copies 20"
    )]
    Routing(RoutingArguments),
    /// Say when a machine has earned its price by the ink that it saves
    #[command(
        after_help = "Example: inkfathom payback prints --have eleven --buy five --width 45cm --copies 20"
    )]
    Payback(PaybackArguments),
    /// List, show, check and copy price lists
    #[command(subcommand)]
    PriceList(PriceListCommand),
    /// List, show, check and copy ink sets
    #[command(subcommand)]
    InkSet(InkSetCommand),
    /// Keep printed jobs with the millilitres that were measured
    #[command(subcommand)]
    Jobs(JobsCommand),
    /// Learn a printer's lay-down from its measured jobs
    #[command(subcommand)]
    Calibration(CalibrationCommand),
    /// Hold measured jobs against the calibration, to see whether the printer has changed
    #[command(after_help = "Example: inkfathom drift --ink-set nine")]
    Drift(DriftArguments),
    /// Serve uploads and questions over HTTP
    #[command(
        after_help = "Example: inkfathom serve --listen 127.0.0.1:8317 --set studio_name=\"Harbour prints\""
    )]
    Serve(ServeArguments),
    /// Make, list and revoke the service's keys
    #[command(subcommand)]
    Keys(KeysCommand),
    /// Copy the service's ledger while the service runs
    #[command(after_help = "Example: inkfathom backup ledger-of-friday.sqlite")]
    Backup(BackupArguments),
    /// Count one upload for the service
    #[command(hide = true)]
    CountUpload(CountUploadArguments),
    /// Print what a shell needs to complete this program's words
    #[command(
        after_help = "Example: inkfathom completions bash > ~/.local/share/bash-completion/completions/inkfathom"
    )]
    Completions {
        /// The shell
        #[arg(value_enum, value_name = "SHELL")]
        shell: Shell,
    },
    /// Write a manual page for this program and one for each of its commands
    #[command(after_help = "Example: inkfathom man-pages --output ~/.local/share/man/man1")]
    ManPages {
        /// The folder to write to; it is made if it is missing
        #[arg(long, value_name = "FOLDER")]
        output: PathBuf,
    },
}

#[derive(Debug, Args)]
pub(crate) struct EstimateArguments {
    #[command(flatten)]
    pub(crate) job: JobArguments,
    /// Built-in ink set or path of a TOML file
    #[arg(long, value_name = "NAME|PATH", default_value = "five")]
    pub(crate) ink_set: String,
    /// Estimate by colours collected on a grid that pictures share: each is separated once for all
    /// pictures, and no picture is read twice. Totals of
    /// photographs are within 0.2 %
    #[arg(long, conflicts_with_all = ["device_values", "assume_profile"])]
    pub(crate) collected: bool,
    /// Print the device values of CMYK pictures as they are, in place of separating their colours
    #[arg(long)]
    pub(crate) device_values: bool,
}

#[derive(Debug, Args)]
pub(crate) struct CompareArguments {
    #[command(flatten)]
    pub(crate) job: JobArguments,
    /// Built-in ink set or path of a TOML file; give it at least twice
    #[arg(long, value_name = "NAME|PATH", required = true)]
    pub(crate) ink_set: Vec<String>,
    #[command(flatten)]
    pub(crate) thresholds: ThresholdArguments,
    #[command(flatten)]
    pub(crate) page: PageArguments,
}

#[derive(Debug, Args)]
pub(crate) struct JobArguments {
    #[command(flatten)]
    pub(crate) files: FileArguments,
    #[command(flatten)]
    pub(crate) print: PrintArguments,
    /// Number of prints of each picture
    #[arg(long, value_name = "COUNT", default_value = "1")]
    pub(crate) copies: NonZeroU32,
    #[command(flatten)]
    pub(crate) ledger: LedgerPath,
    #[command(flatten)]
    pub(crate) calibration: CalibrationUse,
    #[command(flatten)]
    pub(crate) pictures: PictureOptions,
    /// Form of the result
    #[arg(long, value_enum, default_value_t)]
    pub(crate) format: Format,
    /// Write the result to a file in place of standard output
    #[arg(long, value_name = "PATH")]
    pub(crate) output: Option<PathBuf>,
}

/// Rendering intents of ISO 15076.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(crate) enum Intent {
    /// Media-relative colorimetric
    #[default]
    Relative,
    /// The profile's perceptual table, then pressed smoothly into what the ink set can print
    Perceptual,
    /// Colours as measured, tinting the paper
    Absolute,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(crate) enum Format {
    /// For reading
    #[default]
    Table,
    /// For programs, with a version
    Json,
    /// For programs that read line by line: one JSON document a file
    JsonLines,
    /// For spreadsheets, one row a channel
    Csv,
    /// For programs: the rows of `csv` with typed columns
    #[cfg(feature = "parquet")]
    Parquet,
    /// A page to be mailed, with soft proofs; of `compare` alone
    Html,
}

#[derive(Debug, Subcommand)]
pub(crate) enum InkSetCommand {
    /// List the built-in ink sets
    List,
    /// Show the inks, substrates and print modes of an ink set
    Show {
        /// Built-in ink set or path of a TOML file
        #[arg(value_name = "NAME|PATH")]
        ink_set: String,
    },
    /// Check ink-set files and name every problem with its line
    Check {
        /// Paths of TOML files, or built-in ink sets
        #[arg(required = true, value_name = "NAME|PATH")]
        ink_sets: Vec<String>,
    },
    /// Copy a built-in ink set to a file, to make one of your own
    Copy {
        /// Built-in ink set
        #[arg(value_name = "NAME")]
        ink_set: String,
        /// The file to write; it must not exist yet
        #[arg(value_name = "PATH")]
        path: PathBuf,
    },
}

/// The program's version, with a word when its JPEG decoder was built without nasm.
fn version() -> &'static str {
    if intake::jpeg_decoder_is_accelerated() {
        env!("CARGO_PKG_VERSION")
    } else {
        concat!(env!("CARGO_PKG_VERSION"), " (JPEG decoder without vector instructions: slow)")
    }
}
