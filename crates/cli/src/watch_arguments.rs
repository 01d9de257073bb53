use std::num::NonZeroU32;
use std::path::PathBuf;
use std::time::Duration;

use clap::{Args, ValueEnum};

use crate::ledger_arguments::{CalibrationUse, LedgerPath};
use crate::picture_options::PictureOptions;
use crate::print_arguments::PrintArguments;
use crate::receiver::Receiver;
use crate::thresholds::ThresholdArguments;

/// What `inkfathom watch` is asked.
#[derive(Debug, Args)]
pub(crate) struct WatchArguments {
    /// The folder; folders inside it are not looked at
    #[arg(value_name = "FOLDER")]
    pub(crate) folder: PathBuf,
    /// Built-in ink set or path of a TOML file; several are compared
    #[arg(long, value_name = "NAME|PATH", default_value = "five")]
    pub(crate) ink_set: Vec<String>,
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
    #[command(flatten)]
    pub(crate) thresholds: ThresholdArguments,
    /// Form of the results
    #[arg(long, value_enum, default_value_t)]
    pub(crate) format: ResultForm,
    /// Post each result to this address, too, until it is accepted
    #[arg(long, value_name = "URL")]
    pub(crate) post_to: Option<Receiver>,
    /// Seconds for which a file must not change before it counts as complete, 0.05 to 3600
    #[arg(long, value_name = "SECONDS", value_parser = seconds, default_value = "2")]
    pub(crate) settle: Duration,
    /// Answer what is complete now, and end
    #[arg(long)]
    pub(crate) once: bool,
}

/// Forms of a result that lies beside its picture.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(crate) enum ResultForm {
    /// For programs, with a version
    #[default]
    Json,
    /// For spreadsheets, one row a channel
    Csv,
    /// For reading
    Table,
}

impl ResultForm {
    /// What a result's name adds to the picture's.
    pub(crate) const fn ending(self) -> &'static str {
        match self {
            Self::Json => ".ink.json",
            Self::Csv => ".ink.csv",
            Self::Table => ".ink.txt",
        }
    }

    /// The media type of what is posted.
    pub(crate) const fn media_type(self) -> &'static str {
        match self {
            Self::Json => "application/json",
            Self::Csv => "text/csv; charset=utf-8",
            Self::Table => "text/plain; charset=utf-8",
        }
    }
}

/// The ends of what may be waited: shorter than 50 ms is below the clock of some file systems,
/// longer than an hour is most likely a slip. Our choice.
const SETTLING: std::ops::RangeInclusive<f64> = 0.05..=3600.0;

fn seconds(text: &str) -> Result<Duration, String> {
    let range = "write a number of seconds from 0.05 to 3600";
    let number: f64 = text.parse().map_err(|_| format!("`{text}` is no number; {range}"))?;
    if SETTLING.contains(&number) {
        Ok(Duration::from_secs_f64(number))
    } else {
        Err(format!("{text} s is outside; {range}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settling_lasts_from_a_twentieth_of_a_second_to_an_hour() {
        assert_eq!(seconds("0.05"), Ok(Duration::from_millis(50)));
        assert_eq!(seconds("3600"), Ok(Duration::from_secs(3600)));
        for text in ["0", "-1", "3601", "NaN", "two", ""] {
            assert!(seconds(text).unwrap_err().contains("0.05 to 3600"), "{text}");
        }
    }
}
