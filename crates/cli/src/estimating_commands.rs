use std::fs::File;
use std::io;
use std::num::NonZeroUsize;
use std::path::Path;
use std::thread::available_parallelism;

use estimating::{
    CountedPicture, Estimate, EstimatingError, Job, NoCache, Preparation, PreparedSet,
    SeparationCache, SizeRequest, Weight, estimate, estimate_with_verdict, paper_shown,
};
use intake::{IntakeError, Limits};
use proof::Thresholds;
use report::{FileOutcome, Report};

use crate::Exit;
use crate::arguments::{CompareArguments, EstimateArguments, Format, Intent, JobArguments};
use crate::folder_cache::FolderCache;
use crate::ink_set_source::read_ink_set;
use crate::output::{say, write_result};
use crate::output_profile_source::read_output_profile;
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
    if arguments.no_black_point_compensation && arguments.intent != Intent::Relative {
        return Err(ShellError::CompensationOfOtherIntent);
    }
    let prepared = prepare(arguments, ink_sets)?;
    let job = Job {
        size: SizeRequest { width: arguments.width, height: arguments.height },
        copies: arguments.copies,
        rendering: arguments.rendering(),
    };
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

/// Reads and builds the ink sets before any picture is opened.
fn prepare(arguments: &JobArguments, ink_sets: &[&str]) -> Result<Vec<PreparedSet>, ShellError> {
    let cache = cache(arguments.no_cache);
    let mut prepared: Vec<PreparedSet> = Vec::new();
    for name in ink_sets {
        let parsed = read_ink_set(name)?;
        if prepared.iter().any(|other| other.set().name == parsed.set.name) {
            return Err(ShellError::SameInkSetTwice { name: parsed.set.name });
        }
        let output_profile = read_output_profile(&parsed.set, name)?;
        let preparation = Preparation {
            substrate: arguments.substrate.as_deref(),
            print_mode: arguments.print_mode.as_deref(),
            policy: arguments.policy(),
            output_profile: output_profile.as_deref(),
        };
        let ready = PreparedSet::new(parsed, preparation, cache.as_ref());
        prepared.push(ready.map_err(ShellError::UnusableInkSet)?);
    }
    Ok(prepared)
}

/// The user's cache, or none where it is unwanted or has no place.
fn cache(unwanted: bool) -> Box<dyn SeparationCache> {
    match FolderCache::of_user() {
        Some(folder) if !unwanted => Box::new(folder),
        _ => Box::new(NoCache),
    }
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

/// Opens a file for reading; a folder is refused here, because reading it fails more obscurely.
fn open_file(path: &Path) -> Result<File, IntakeError> {
    let unopened = |source| IntakeError::Io { action: "opening it", source };
    let file = File::open(path).map_err(unopened)?;
    if file.metadata().map_err(unopened)?.is_dir() {
        return Err(unopened(io::Error::from(io::ErrorKind::IsADirectory)));
    }
    Ok(file)
}

/// One thread decodes and one counts where the machine has two cores.
fn threads() -> NonZeroUsize {
    let two = NonZeroUsize::MIN.saturating_add(1);
    available_parallelism().unwrap_or(NonZeroUsize::MIN).min(two)
}

fn exit_of(outcomes: &[FileOutcome]) -> Exit {
    let failed = outcomes.iter().filter(|file| file.outcome.is_err()).count();
    match failed {
        0 => Exit::Answered,
        all if all == outcomes.len() => Exit::AllFilesFailed,
        _ => Exit::SomeFilesFailed,
    }
}
