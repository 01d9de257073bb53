use std::num::NonZeroU32;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use estimating::RenderingChoice;
use units::Length;

use crate::exit;

/// Predicts the ink that a picture takes, before it is printed.
#[derive(Debug, Parser)]
#[command(name = "inkfathom", version = version(), after_help = exit::TABLE)]
pub(crate) struct Arguments {
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Estimate the millilitres of each ink that pictures take
    #[command(after_help = "Example: inkfathom estimate shore.png --ink-set nine --width 60cm")]
    Estimate(EstimateArguments),
    /// Compare the ink that the same pictures take on several ink sets
    #[command(
        after_help = "Example: inkfathom compare shore.png --ink-set five --ink-set eleven --width 60cm"
    )]
    Compare(CompareArguments),
    /// List, show, check and copy ink sets
    #[command(subcommand)]
    InkSet(InkSetCommand),
}

#[derive(Debug, Args)]
pub(crate) struct EstimateArguments {
    #[command(flatten)]
    pub(crate) job: JobArguments,
    /// Built-in ink set or path of a TOML file
    #[arg(long, value_name = "NAME|PATH", default_value = "five")]
    pub(crate) ink_set: String,
}

#[derive(Debug, Args)]
pub(crate) struct CompareArguments {
    #[command(flatten)]
    pub(crate) job: JobArguments,
    /// Built-in ink set or path of a TOML file; give it at least twice
    #[arg(long, value_name = "NAME|PATH", required = true)]
    pub(crate) ink_set: Vec<String>,
}

#[derive(Debug, Args)]
pub(crate) struct JobArguments {
    /// Pictures: JPEG, PNG or TIFF
    #[arg(required = true, value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,
    /// Printed width, for example 60cm, 600mm, 0.6m or 24in
    #[arg(long, value_name = "LENGTH")]
    pub(crate) width: Option<Length>,
    /// Printed height; with --width the picture is fitted inside both
    #[arg(long, value_name = "LENGTH")]
    pub(crate) height: Option<Length>,
    /// Number of prints of each picture
    #[arg(long, value_name = "COUNT", default_value = "1")]
    pub(crate) copies: NonZeroU32,
    /// Substrate of the ink set; its first one if not given
    #[arg(long, value_name = "NAME")]
    pub(crate) substrate: Option<String>,
    /// Print mode of the ink set; its first one if not given
    #[arg(long, value_name = "NAME")]
    pub(crate) print_mode: Option<String>,
    /// How colours that the ink set can't print are met
    #[arg(long, value_enum, default_value_t)]
    pub(crate) intent: Intent,
    /// Clip shadows that are darker than the ink set's black, in place of compensating
    #[arg(long)]
    pub(crate) no_black_point_compensation: bool,
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
    /// The profile's perceptual table
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
    /// For spreadsheets, one row a channel
    Csv,
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

impl JobArguments {
    /// The rendering that the two options name together.
    pub(crate) const fn rendering(&self) -> RenderingChoice {
        match (self.intent, self.no_black_point_compensation) {
            (Intent::Relative, false) => RenderingChoice::Relative,
            (Intent::Relative, true) => RenderingChoice::RelativeUncompensated,
            (Intent::Perceptual, _) => RenderingChoice::Perceptual,
            (Intent::Absolute, _) => RenderingChoice::Absolute,
        }
    }
}

/// The program's version and what its JPEG decoder was built with.
const fn version() -> &'static str {
    env!("CARGO_PKG_VERSION")
}
