use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};
use estimating::{NamedColour, predict_mixture, read_mixture, separate_colour};
use report::{ColourReport, MixtureReport};

use crate::Exit;
use crate::colour_list::read_list;
use crate::estimating_commands::PROGRAM;
use crate::output::write_result;
use crate::prepared_sets::{prepare, prepare_one};
use crate::print_arguments::DeviceArguments;
use crate::shell_error::ShellError;

#[derive(Debug, Subcommand)]
pub(crate) enum ColourCommand {
    /// Say which coverages and how much ink colours take, and what they print as
    #[command(after_help = "Colours are taken relative to the paper, without black-point \
        compensation.\n\nExample: inkfathom colours separate 52,42,20 '#c0402a' --ink-set five")]
    Separate(SeparateColoursArguments),
    /// Say what coverages of inks print: spectrum and colour
    #[command(after_help = "Example: inkfathom colours predict cyan=50,yellow=20 --ink-set five")]
    Predict(PredictArguments),
}

#[derive(Debug, Args)]
pub(crate) struct SeparateColoursArguments {
    /// Colours: L*,a*,b* as in 52,42,20, or sRGB as in #c0402a
    #[arg(value_name = "COLOUR", required_unless_present = "list")]
    colours: Vec<NamedColour>,
    /// CSV file of colours with the columns L, a and b, or srgb; a column name is kept
    #[arg(long, value_name = "FILE")]
    list: Option<PathBuf>,
    /// Built-in ink set or path of a TOML file; may be given more than once
    #[arg(long, value_name = "NAME|PATH", required = true)]
    ink_set: Vec<String>,
    #[command(flatten)]
    device: DeviceArguments,
    #[command(flatten)]
    form: FormArguments,
}

#[derive(Debug, Args)]
pub(crate) struct PredictArguments {
    /// Coverages of inks in percent, as in cyan=50,yellow=20; the other inks take nothing
    #[arg(value_name = "INK=PERCENT,…", required = true)]
    mixtures: Vec<String>,
    /// Built-in ink set or path of a TOML file
    #[arg(long, value_name = "NAME|PATH", default_value = "five")]
    ink_set: String,
    #[command(flatten)]
    device: DeviceArguments,
    #[command(flatten)]
    form: FormArguments,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
enum DataForm {
    /// For reading
    #[default]
    Table,
    /// For programs, with a version
    Json,
    /// For spreadsheets, one row an ink or a band
    Csv,
}

#[derive(Debug, Args)]
struct FormArguments {
    /// Form of the result
    #[arg(long, value_enum, default_value_t)]
    format: DataForm,
    /// Write the result to a file in place of standard output
    #[arg(long, value_name = "PATH")]
    output: Option<PathBuf>,
}

/// `inkfathom colours`.
pub(crate) fn run(command: &ColourCommand) -> Result<Exit, ShellError> {
    match command {
        ColourCommand::Separate(arguments) => separate(arguments),
        ColourCommand::Predict(arguments) => predict(arguments),
    }
}

fn separate(arguments: &SeparateColoursArguments) -> Result<Exit, ShellError> {
    let mut colours = arguments.colours.clone();
    colours.extend(arguments.list.as_deref().map(read_list).transpose()?.unwrap_or_default());
    let names: Vec<&str> = arguments.ink_set.iter().map(String::as_str).collect();
    let sets = prepare(&arguments.device, &names)?;
    let mut report = ColourReport::new(PROGRAM);
    for colour in &colours {
        for set in &sets {
            report.add(&separate_colour(colour, set), set);
        }
    }
    arguments.form.write(|format| match format {
        DataForm::Table => Ok(report.to_table()),
        DataForm::Csv => Ok(report.to_csv()),
        DataForm::Json => json(report.to_json()),
    })
}

fn predict(arguments: &PredictArguments) -> Result<Exit, ShellError> {
    let set = prepare_one(&arguments.device, &arguments.ink_set)?;
    let mut report = MixtureReport::new(PROGRAM);
    for text in &arguments.mixtures {
        let coverages = read_mixture(text, set.set())?;
        let mixture = predict_mixture(&coverages, &set).map_err(ShellError::UnusableInkSet)?;
        report.add(&mixture, &set);
    }
    arguments.form.write(|format| match format {
        DataForm::Table => Ok(report.to_table()),
        DataForm::Csv => Ok(report.to_csv()),
        DataForm::Json => json(report.to_json()),
    })
}

fn json<E: ToString>(written: Result<String, E>) -> Result<String, ShellError> {
    written.map_err(|fault| ShellError::Json(fault.to_string()))
}

impl FormArguments {
    fn write(
        &self,
        text: impl FnOnce(DataForm) -> Result<String, ShellError>,
    ) -> Result<Exit, ShellError> {
        write_result(&text(self.format)?, self.output.as_deref())?;
        Ok(Exit::Answered)
    }
}
