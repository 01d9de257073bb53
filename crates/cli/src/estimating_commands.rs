use std::num::NonZeroUsize;
use std::path::Path;
use std::thread::available_parallelism;

use estimating::{
    CountedPicture, Estimate, EstimatingError, Job, PreparedSet, Weight, estimate,
    estimate_with_verdict, paper_shown,
};
use intake::Limits;
use proof::Thresholds;
use report::{FileOutcome, Report};

use crate::Exit;
use crate::arguments::{CompareArguments, EstimateArguments, Format, JobArguments};
use crate::input::open_file;
use crate::output::{say, write_result};
use crate::prepared_sets::prepare;
use crate::shell_error::ShellError;

const PROGRAM: &str = concat!("inkfathom ", env!("CARGO_PKG_VERSION"));

/// `inkfathom estimate`.
pub(crate) fn run_estimate(arguments: &EstimateArguments) -> Result<Exit, ShellError> {
    answer(&arguments.job, &[arguments.ink_set.as_str()], None)
}

/// `inkfathom compare`.
pub(crate) fn run_compare(arguments: &CompareArguments) -> Result<Exit, ShellError> {
    let names: Vec<&str> = arguments.ink_set.iter().map(String::as_str).collect();
    if names.len() < 2 {
        return Err(ShellError::NothingToCompare);
    }
    answer(&arguments.job, &names, Some(arguments.thresholds.thresholds()?))
}

/// `thresholds` are those of verdicts, where they are wanted.
fn answer(
    arguments: &JobArguments,
    ink_sets: &[&str],
    thresholds: Option<Thresholds>,
) -> Result<Exit, ShellError> {
    let job = Job {
        size: arguments.print.size(),
        copies: arguments.copies,
        rendering: arguments.print.rendering()?,
    };
    let prepared = prepare(&arguments.print.device, ink_sets)?;
    let outcomes: Vec<FileOutcome> =
        arguments.files.iter().map(|path| outcome(path, &prepared, &job, thresholds)).collect();
    let exit = exit_of(&outcomes);
    let names = prepared.iter().map(|set| set.set().name.clone()).collect();
    let report = Report::new(PROGRAM, names, outcomes);
    let text = match arguments.format {
        Format::Table => report.to_table(),
        Format::Csv => report.to_csv(),
        Format::Json => report.to_json().map_err(|fault| ShellError::Json(fault.to_string()))?,
    };
    write_result(&text, arguments.output.as_deref())?;
    Ok(exit)
}

/// Answers one file, and says on standard error what is wrong with it.
fn outcome(
    path: &Path,
    prepared: &[PreparedSet],
    job: &Job,
    thresholds: Option<Thresholds>,
) -> FileOutcome {
    let file = path.display().to_string();
    let outcome = estimates(path, prepared, job, thresholds).map_err(|fault| fault.to_string());
    match &outcome {
        Err(error) => say("error", &format!("{file}: {error}")),
        Ok(estimates) => {
            for assumption in estimates.iter().take(1).flat_map(|estimate| &estimate.assumptions) {
                if assumption.weight == Weight::Warning {
                    say("warning", &format!("{file}: {}", assumption.text));
                }
            }
        }
    }
    FileOutcome { file, outcome }
}

fn estimates(
    path: &Path,
    prepared: &[PreparedSet],
    job: &Job,
    thresholds: Option<Thresholds>,
) -> Result<Vec<Estimate>, EstimatingError> {
    let picture = intake::open(open_file(path)?, &Limits::default())?;
    let paper = prepared.first().and_then(|set| paper_shown(job.rendering, set));
    let counted = CountedPicture::count(picture, paper, threads())?;
    let answer = |set| match thresholds {
        Some(thresholds) => estimate_with_verdict(&counted, set, job, thresholds),
        None => estimate(&counted, set, job),
    };
    prepared.iter().map(answer).collect()
}

/// One thread decodes and one counts where the machine has two cores.
pub(crate) fn threads() -> NonZeroUsize {
    let two = NonZeroUsize::MIN.saturating_add(1);
    available_parallelism().unwrap_or(NonZeroUsize::MIN).min(two)
}

fn exit_of(outcomes: &[FileOutcome]) -> Exit {
    Exit::of_files(outcomes.iter().filter(|file| file.outcome.is_err()).count(), outcomes.len())
}
