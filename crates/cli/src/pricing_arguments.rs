use std::num::NonZeroU32;
use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};
use units::Length;

use crate::file_arguments::FileArguments;
use crate::ledger_arguments::{CalibrationUse, LedgerPath};
use crate::page_arguments::PageArguments;
use crate::picture_options::PictureOptions;
use crate::print_arguments::PrintArguments;
use crate::thresholds::ThresholdArguments;

#[derive(Debug, Args)]
pub(crate) struct QuoteArguments {
    #[command(flatten)]
    pub(crate) files: FileArguments,
    #[command(flatten)]
    pub(crate) print: PrintArguments,
    #[command(flatten)]
    pub(crate) pictures: PictureOptions,
    /// Number of prints of each picture
    #[arg(long, value_name = "COUNT", default_value = "1")]
    pub(crate) copies: NonZeroU32,
    /// Built-in ink set or path of a TOML file
    #[arg(long, value_name = "NAME|PATH", default_value = "five")]
    pub(crate) ink_set: String,
    /// Built-in price list or path of a TOML file
    #[arg(long, value_name = "NAME|PATH", default_value = "demo")]
    pub(crate) price_list: String,
    /// Paper of the price list; the first that is the substrate if not given
    #[arg(long, value_name = "NAME")]
    pub(crate) paper: Option<String>,
    /// Width of the roll; the cheapest if not given
    #[arg(long, value_name = "LENGTH")]
    pub(crate) roll: Option<Length>,
    /// With --format html: leave out what the studio pays and earns
    #[arg(long)]
    pub(crate) for_customer: bool,
    #[command(flatten)]
    pub(crate) ledger: LedgerPath,
    #[command(flatten)]
    pub(crate) calibration: CalibrationUse,
    #[command(flatten)]
    pub(crate) result: ResultArguments,
}

/// The form of a result about money, and where it goes.
#[derive(Debug, Args)]
pub(crate) struct ResultArguments {
    /// Form of the result
    #[arg(long, value_enum, default_value_t)]
    pub(crate) format: MoneyFormat,
    /// Write the result to a file in place of standard output
    #[arg(long, value_name = "PATH")]
    pub(crate) output: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) page: PageArguments,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(crate) enum MoneyFormat {
    /// For reading
    #[default]
    Table,
    /// For programs, with a version
    Json,
    /// For programs that read line by line: the rows of `csv` as JSON
    JsonLines,
    /// For spreadsheets
    Csv,
    /// For programs: the rows of `csv` with typed columns
    #[cfg(feature = "parquet")]
    Parquet,
    /// A page to be mailed or printed
    Html,
}

/// A month's jobs.
#[derive(Debug, Args)]
pub(crate) struct MonthlyArguments {
    /// Pictures, or folders of them
    #[arg(value_name = "FILE|FOLDER")]
    pub(crate) files: Vec<PathBuf>,
    #[command(flatten)]
    pub(crate) print: PrintArguments,
    #[command(flatten)]
    pub(crate) pictures: PictureOptions,
    /// Prints of each picture in a month
    #[arg(long, value_name = "COUNT", default_value = "1")]
    pub(crate) copies: NonZeroU32,
    /// List of jobs: path of a TOML file, in place of or beside pictures
    #[arg(long, value_name = "PATH")]
    pub(crate) jobs: Option<PathBuf>,
    /// In how many orders the prints of a picture are made each month
    #[arg(long, value_name = "COUNT", default_value = "1")]
    pub(crate) orders: NonZeroU32,
    #[command(flatten)]
    pub(crate) thresholds: ThresholdArguments,
    /// Don't accept that a set holds all but an exception that can be named
    #[arg(long)]
    pub(crate) strictly: bool,
    /// Built-in price list or path of a TOML file
    #[arg(long, value_name = "NAME|PATH", default_value = "demo")]
    pub(crate) price_list: String,
    #[command(flatten)]
    pub(crate) result: ResultArguments,
}

#[derive(Debug, Args)]
pub(crate) struct RoutingArguments {
    #[command(flatten)]
    pub(crate) monthly: MonthlyArguments,
    /// Built-in ink set or path of a TOML file; give it at least twice
    #[arg(long, value_name = "NAME|PATH", required = true)]
    pub(crate) ink_set: Vec<String>,
}

#[derive(Debug, Args)]
pub(crate) struct PaybackArguments {
    #[command(flatten)]
    pub(crate) monthly: MonthlyArguments,
    /// The ink set of the machine that is there: built in or path of a TOML file
    #[arg(long, value_name = "NAME|PATH")]
    pub(crate) have: String,
    /// The ink set of the machine to buy: built in or path of a TOML file
    #[arg(long, value_name = "NAME|PATH")]
    pub(crate) buy: String,
    /// What becomes of the machine that is there
    #[arg(long, value_enum, default_value_t)]
    pub(crate) old_machine: Fate,
    /// Months within which the price should be earned
    #[arg(long, value_name = "MONTHS", default_value = "36")]
    pub(crate) within: NonZeroU32,
}

/// What becomes of a machine when another one is bought.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(crate) enum Fate {
    /// Jobs that only it holds go on it
    #[default]
    Stays,
    /// Every job is printed on the new one
    Goes,
}

#[derive(Debug, Subcommand)]
pub(crate) enum PriceListCommand {
    /// List the built-in price lists
    List,
    /// Show the prices of a list
    Show {
        /// Built-in price list or path of a TOML file
        #[arg(value_name = "NAME|PATH")]
        price_list: String,
    },
    /// Check price lists and name every problem with its line
    Check {
        /// Paths of TOML files, or built-in price lists
        #[arg(required = true, value_name = "NAME|PATH")]
        price_lists: Vec<String>,
    },
    /// Copy a built-in price list to a file, to make one of your own
    Copy {
        /// Built-in price list
        #[arg(value_name = "NAME")]
        price_list: String,
        /// The file to write; it must not exist yet
        #[arg(value_name = "PATH")]
        path: PathBuf,
    },
}
