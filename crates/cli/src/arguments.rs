use std::num::NonZeroU32;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use estimating::RenderingChoice;
use separation::InkPolicy;
use units::Length;

use crate::thresholds::ThresholdArguments;
use crate::{exit, policies};

/// Predicts the ink that a picture takes, before it is printed.
#[derive(Debug, Parser)]
#[command(name = "inkfathom", version = version(), after_help = exit::AFTER_HELP)]
pub(crate) struct Arguments {
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
    #[command(flatten)]
    pub(crate) thresholds: ThresholdArguments,
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
    /// Share of a neutral's possible black that is used, 0 to 100; the ink set's if not given
    #[arg(long, value_name = "PERCENT", value_parser = policies::black_replacement, group = "policy")]
    pub(crate) black_replacement: Option<InkPolicy>,
    /// Take the least ink that keeps every colour within this ΔE00 of what the set can print
    #[arg(long, value_name = "DELTA_E", value_parser = policies::least_ink, group = "policy")]
    pub(crate) least_ink: Option<InkPolicy>,
    /// Print lightness alone, through black and grey; with a toning `a*,b*` of the mid-greys
    #[arg(
        long, value_name = "A,B", value_parser = policies::monochrome, group = "policy",
        num_args = 0..=1, default_missing_value = "0,0", require_equals = true
    )]
    pub(crate) monochrome: Option<InkPolicy>,
    /// Build separations anew, and keep none for later
    #[arg(long)]
    pub(crate) no_cache: bool,
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
    /// The rule for the separation; at most one is given.
    pub(crate) fn policy(&self) -> InkPolicy {
        self.black_replacement.or(self.least_ink).or(self.monochrome).unwrap_or_default()
    }

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

/// The program's version, with a word when its JPEG decoder was built without nasm.
fn version() -> &'static str {
    if intake::jpeg_decoder_is_accelerated() {
        env!("CARGO_PKG_VERSION")
    } else {
        concat!(env!("CARGO_PKG_VERSION"), " (JPEG decoder without vector instructions: slow)")
    }
}
