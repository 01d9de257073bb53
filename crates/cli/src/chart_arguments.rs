use std::path::PathBuf;

use charts::{Contradictions, SampleNames};
use clap::{Args, Subcommand, ValueEnum};

#[derive(Debug, Subcommand)]
pub(crate) enum ChartCommand {
    /// Show what a measured chart holds
    Show {
        #[command(flatten)]
        chart: ChartArguments,
    },
    /// Fit an ink set to a measured chart, and report how well it predicts the chart
    #[command(
        after_help = "Example: inkfathom chart fit harbour.txt --base nine --output harbour.toml"
    )]
    Fit(FitArguments),
}

#[derive(Debug, Args)]
pub(crate) struct ChartArguments {
    /// Measured chart: CGATS text (ISO 28178) or CxF3 (ISO 17972)
    #[arg(value_name = "FILE")]
    pub(crate) file: PathBuf,
    /// The chart has no device columns: its sample names are the steps of this ink, 0 to 100 %
    #[arg(long, value_name = "INK")]
    pub(crate) steps_of: Option<String>,
    /// Set readings of the same device values that contradict each other aside as suspects, in place
    /// of refusing the chart
    #[arg(long)]
    pub(crate) set_contradictions_aside: bool,
}

#[derive(Debug, Args)]
pub(crate) struct FitArguments {
    #[command(flatten)]
    pub(crate) chart: ChartArguments,
    /// The ink-set file to write; it must not exist yet
    #[arg(long, value_name = "PATH")]
    pub(crate) output: PathBuf,
    /// Names of the inks in the chart's order, separated by commas; the chart's if not given
    #[arg(long, value_name = "NAMES", value_delimiter = ',')]
    pub(crate) inks: Vec<String>,
    /// Families of the inks in the chart's order, separated by commas: inks of one family are strengths
    /// of one hue; by default those of the base's inks of the same names
    #[arg(long, value_name = "NAMES", value_delimiter = ',')]
    pub(crate) families: Vec<String>,
    /// Name of the new ink set; that of the file to write if not given
    #[arg(long, value_name = "NAME")]
    pub(crate) name: Option<String>,
    /// Name of the substrate that the chart was printed on
    #[arg(long, value_name = "NAME", default_value = "measured paper")]
    pub(crate) substrate: String,
    /// Ink set whose limits, print modes, separation and machine are taken over
    #[arg(long, value_name = "NAME|PATH", default_value = "five")]
    pub(crate) base: String,
    /// Form of the report
    #[arg(long, value_enum, default_value_t)]
    pub(crate) format: ReportFormat,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(crate) enum ReportFormat {
    /// For reading
    #[default]
    Text,
    /// For programs, with a version
    Json,
}

impl ChartArguments {
    pub(crate) const fn contradictions(&self) -> Contradictions {
        if self.set_contradictions_aside {
            Contradictions::SetAside
        } else {
            Contradictions::Refuse
        }
    }

    pub(crate) fn sample_names(&self) -> SampleNames {
        match &self.steps_of {
            Some(ink) => SampleNames::StepsOf { ink: ink.clone() },
            None => SampleNames::Labels,
        }
    }
}
