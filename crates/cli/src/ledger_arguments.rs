use std::num::NonZeroU32;
use std::path::PathBuf;

use clap::{Args, Subcommand};
use ledger::{CalendarDate, CalibrationName, Includes, MeasuredBy};
use units::{Length, Volume};

use crate::policies::number;

#[derive(Debug, Clone, Args)]
pub(crate) struct LedgerPath {
    /// Ledger of measured jobs; `inkfathom/ledger.sqlite` in the user's data folder if not given
    #[arg(long, value_name = "PATH")]
    pub(crate) ledger: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(crate) struct CalibrationUse {
    /// Estimate by nominal values, although measured jobs have been learned from
    #[arg(long, conflicts_with = "calibration")]
    pub(crate) no_calibration: bool,
    /// Estimate by this calibration in place of the active one, to repeat an earlier estimate
    #[arg(long, value_name = "NAME[.VERSION]")]
    pub(crate) calibration: Vec<String>,
}

#[derive(Debug, Args)]
pub(crate) struct Device {
    /// Built-in ink set or path of a TOML file
    #[arg(long, value_name = "NAME|PATH", default_value = "five")]
    pub(crate) ink_set: String,
    /// Print mode of the ink set; its first one if not given
    #[arg(long, value_name = "NAME")]
    pub(crate) print_mode: Option<String>,
}

#[derive(Debug, Subcommand)]
pub(crate) enum JobsCommand {
    /// Add a printed job with what was measured
    #[command(after_help = "Example: inkfathom jobs add shore.png --ink-set five --width 60cm \
        --total-ml 3.12 --measured-by machine-count --resolution-ml 0.01 --includes start-up")]
    Add(Box<AddArguments>),
    /// Add many jobs from a CSV table, all of them or none
    #[command(after_help = IMPORT_HELP)]
    Import(ImportArguments),
    /// List the jobs
    List(ListArguments),
    /// Correct values of a job; the values before are kept
    #[command(
        after_help = "Example: inkfathom jobs correct 12 --ml cyan=1.25 --reason \"misread\""
    )]
    Correct(Box<CorrectArguments>),
    /// Write the jobs as a CSV table that `import` reads
    Export(ExportArguments),
}

/// The header of a table of jobs.
const IMPORT_HELP: &str = "\
Columns, by their names in the first line, in any order:
  date            day of the print, 2026-11-25
  file            the picture, beside the table unless its path is absolute
  ink_set         built-in ink set, TOML file, or the name of an --ink-set
  measured_by     machine-count, weighing or cartridge-change
  resolution_ml   smallest step of the readings
  total_ml        ink of all inks together, or
  ml INK          of each ink by its name, for example `ml light cyan`
and, as far as needed:
  width_mm, height_mm   printed size of a copy; the file's own if not given
  copies          1 if not given
  substrate, print_mode   the ink set's first if not given
  includes        what was read beside the picture: start-up, cleaning, margins, joined by +
  rendering       relative, relative-uncompensated, perceptual or absolute
  policy          black-replacement 40, least-ink 1 or monochrome 2,6
  content_hash    of the picture's file; must agree, or stands for a file that is gone
  note            anything
Cells are parted by commas or by semicolons. Decimal commas are read when every number has them.";

#[derive(Debug, Args)]
pub(crate) struct AddArguments {
    /// The printed picture
    #[arg(value_name = "FILE")]
    pub(crate) file: String,
    #[command(flatten)]
    pub(crate) device: Device,
    /// Substrate of the ink set; its first one if not given
    #[arg(long, value_name = "NAME")]
    pub(crate) substrate: Option<String>,
    /// Printed width of a copy
    #[arg(long, value_name = "LENGTH")]
    pub(crate) width: Option<Length>,
    /// Printed height of a copy
    #[arg(long, value_name = "LENGTH")]
    pub(crate) height: Option<Length>,
    /// Number of prints
    #[arg(long, value_name = "COUNT", default_value = "1")]
    pub(crate) copies: NonZeroU32,
    /// relative, relative-uncompensated, perceptual or absolute; relative if not given
    #[arg(long, value_name = "WORD")]
    pub(crate) rendering: Option<String>,
    /// `black-replacement 40`, `least-ink 1` or `monochrome 2,6`; the ink set's own if not given
    #[arg(long, value_name = "WORDS")]
    pub(crate) policy: Option<String>,
    /// Millilitres of one ink, for all copies; once for each ink that was read
    #[arg(long, value_name = "INK=ML", value_parser = ink_reading, conflicts_with = "total_ml")]
    pub(crate) ml: Vec<(String, Volume)>,
    /// Millilitres of all inks together, for all copies
    #[arg(long, value_name = "ML", value_parser = volume, required_unless_present = "ml")]
    pub(crate) total_ml: Option<Volume>,
    /// machine-count, weighing or cartridge-change
    #[arg(long, value_name = "WORD", value_parser = measured_by)]
    pub(crate) measured_by: MeasuredBy,
    /// Smallest step of the readings in millilitres
    #[arg(long, value_name = "ML", value_parser = step)]
    pub(crate) resolution_ml: Volume,
    /// What was read beside the picture: start-up, cleaning, margins, joined by +
    #[arg(long, value_name = "WORDS", value_parser = Includes::from_words, default_value = "")]
    pub(crate) includes: Includes,
    /// Day of the print; today if not given
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) date: Option<CalendarDate>,
    /// Anything worth keeping in words
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub(crate) note: String,
    #[command(flatten)]
    pub(crate) ledger: LedgerPath,
}

#[derive(Debug, Args)]
pub(crate) struct ImportArguments {
    /// The table
    #[arg(value_name = "CSV")]
    pub(crate) table: PathBuf,
    /// TOML file of an ink set that the table calls by its name
    #[arg(long, value_name = "PATH")]
    pub(crate) ink_set: Vec<String>,
    #[command(flatten)]
    pub(crate) ledger: LedgerPath,
}

#[derive(Debug, Args)]
pub(crate) struct ListArguments {
    /// Jobs of this ink set alone, by its name
    #[arg(long, value_name = "NAME")]
    pub(crate) ink_set: Option<String>,
    /// Show what was corrected, too
    #[arg(long)]
    pub(crate) corrections: bool,
    #[command(flatten)]
    pub(crate) ledger: LedgerPath,
}

#[derive(Debug, Args)]
pub(crate) struct CorrectArguments {
    /// Number of the job, as `jobs list` shows it
    #[arg(value_name = "NUMBER")]
    pub(crate) number: i64,
    /// Millilitres of an ink
    #[arg(long, value_name = "INK=ML", value_parser = ink_reading)]
    pub(crate) ml: Vec<(String, Volume)>,
    /// Millilitres of all inks together
    #[arg(long, value_name = "ML", value_parser = volume)]
    pub(crate) total_ml: Option<Volume>,
    /// Printed width of a copy
    #[arg(long, value_name = "LENGTH", value_parser = side)]
    pub(crate) width: Option<Length>,
    /// Printed height of a copy
    #[arg(long, value_name = "LENGTH", value_parser = side)]
    pub(crate) height: Option<Length>,
    /// Number of prints
    #[arg(long, value_name = "COUNT")]
    pub(crate) copies: Option<NonZeroU32>,
    /// Day of the print
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(crate) date: Option<CalendarDate>,
    /// machine-count, weighing or cartridge-change
    #[arg(long, value_name = "WORD", value_parser = measured_by)]
    pub(crate) measured_by: Option<MeasuredBy>,
    /// Smallest step of the readings in millilitres
    #[arg(long, value_name = "ML", value_parser = step)]
    pub(crate) resolution_ml: Option<Volume>,
    /// What was read beside the picture: start-up, cleaning, margins, joined by +
    #[arg(long, value_name = "WORDS", value_parser = Includes::from_words)]
    pub(crate) includes: Option<Includes>,
    /// Whether calibrations leave the job out
    #[arg(long, value_name = "true|false")]
    pub(crate) left_out: Option<bool>,
    /// Anything worth keeping in words
    #[arg(long, value_name = "TEXT")]
    pub(crate) note: Option<String>,
    /// Why it is corrected
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub(crate) reason: String,
    #[command(flatten)]
    pub(crate) ledger: LedgerPath,
}

#[derive(Debug, Args)]
pub(crate) struct ExportArguments {
    /// Write the table to a file in place of standard output
    #[arg(long, value_name = "PATH")]
    pub(crate) output: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) ledger: LedgerPath,
}

#[derive(Debug, Subcommand)]
pub(crate) enum CalibrationCommand {
    /// Fit the measured jobs of an ink set and print mode, and use the result from now on
    #[command(after_help = "Example: inkfathom calibration fit --ink-set nine --name harbour")]
    Fit(FitArguments),
    /// List the calibrations
    List(LedgerPath),
    /// Show what a calibration has learned
    Show(CalibrationNamed),
    /// Use a calibration for the estimates of its ink set and print mode
    Use(CalibrationNamed),
}

#[derive(Debug, Args)]
pub(crate) struct FitArguments {
    #[command(flatten)]
    pub(crate) device: Device,
    /// Name of the calibration; that of the ink set and print mode if not given
    #[arg(long, value_name = "NAME")]
    pub(crate) name: Option<CalibrationName>,
    /// Hold volumes in proportion to coverage, without a curve for each ink
    #[arg(long)]
    pub(crate) straight: bool,
    #[command(flatten)]
    pub(crate) ledger: LedgerPath,
}

#[derive(Debug, Args)]
pub(crate) struct CalibrationNamed {
    /// Name, for the latest version, or name and version
    #[arg(value_name = "NAME[.VERSION]")]
    pub(crate) name: String,
    #[command(flatten)]
    pub(crate) ledger: LedgerPath,
}

#[derive(Debug, Args)]
pub(crate) struct DriftArguments {
    #[command(flatten)]
    pub(crate) device: Device,
    /// Hold the jobs against this calibration in place of the active one
    #[arg(long, value_name = "NAME[.VERSION]")]
    pub(crate) calibration: Option<String>,
    #[command(flatten)]
    pub(crate) ledger: LedgerPath,
}

/// A hundred litres in one job: beyond that the unit is wrong. Our choice, as for tables.
const MOST_MILLILITRES: f64 = 100_000.0;

fn volume(text: &str) -> Result<Volume, String> {
    let millilitres = number(text)?;
    Volume::from_millilitres(millilitres)
        .ok()
        .filter(|_| millilitres <= MOST_MILLILITRES)
        .ok_or_else(|| format!("{text} is outside 0 to {MOST_MILLILITRES} ml"))
}

fn step(text: &str) -> Result<Volume, String> {
    volume(text).and_then(|step| {
        if step > Volume::ZERO { Ok(step) } else { Err(format!("{text} is no step; write 0.01")) }
    })
}

fn side(text: &str) -> Result<Length, String> {
    let length: Length = text.parse().map_err(|fault: units::UnitError| fault.to_string())?;
    let printable = (1.0..=100_000.0).contains(&length.to_millimetres());
    if printable { Ok(length) } else { Err(format!("{text} is outside 1 mm to 100 m")) }
}

fn ink_reading(text: &str) -> Result<(String, Volume), String> {
    let (ink, millilitres) = text
        .rsplit_once('=')
        .ok_or_else(|| format!("`{text}` is no reading; write for example cyan=1.25"))?;
    Ok((ink.trim().to_owned(), volume(millilitres)?))
}

fn measured_by(word: &str) -> Result<MeasuredBy, String> {
    MeasuredBy::from_word(word)
        .ok_or_else(|| format!("write one of {}", MeasuredBy::ALL.map(MeasuredBy::word).join(", ")))
}
