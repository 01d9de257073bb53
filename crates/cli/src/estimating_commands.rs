use std::num::NonZeroUsize;

use estimating::{
    Assumption, CountedPicture, Estimate, EstimatingError, Job, PreparedSet, PreviewUse,
    RenderingChoice, Weight, estimate, estimate_device_values, estimates_with_proofs,
    estimates_with_verdicts, paper_shown,
};
use proof::Thresholds;
use report::{FileOutcome, Letter, PictureEvidence, Report};

use crate::arguments::{CompareArguments, EstimateArguments, Format, JobArguments};
use crate::batch::Batch;
use crate::calibrated_sets::{calibrated, ledger_of};
use crate::file_list::Listed;
use crate::kept_censuses::KeptCensuses;
use crate::kept_pictures::KeptPictures;
use crate::output::{json, say, write_result};
#[cfg(feature = "parquet")]
use crate::output::{parquet, write_bytes};
use crate::page_arguments::pixels_of_each;
use crate::picture_reading::{Memory, Page, PictureReading};
use crate::prepared_sets::prepare;
use crate::shell_error::ShellError;
use crate::{Exit, collected_command};

/// The program's name and version, as reports give it.
pub(crate) const PROGRAM: &str = concat!("inkfathom ", env!("CARGO_PKG_VERSION"));

/// `inkfathom estimate`.
pub(crate) fn run_estimate(arguments: &EstimateArguments) -> Result<Exit, ShellError> {
    if arguments.job.format == Format::Html {
        return Err(ShellError::PageOfOneSet);
    }
    if arguments.collected {
        return collected_command::run(arguments);
    }
    let asked = Asked { device_values: arguments.device_values, ..Asked::default() };
    let files = arguments.job.files.listed()?;
    answer(&arguments.job, &files, &[arguments.ink_set.as_str()], &asked)
}

/// `inkfathom compare`.
pub(crate) fn run_compare(arguments: &CompareArguments) -> Result<Exit, ShellError> {
    let names: Vec<&str> = arguments.ink_set.iter().map(String::as_str).collect();
    if names.len() < 2 {
        return Err(ShellError::NothingToCompare);
    }
    let files = arguments.job.files.listed()?;
    let page = (arguments.job.format == Format::Html).then(|| PageOf {
        letter: arguments.page.letter(),
        pixels: pixels_of_each(files.len(), names.len()),
    });
    let thresholds = Some(arguments.thresholds.thresholds()?);
    answer(&arguments.job, &files, &names, &Asked { thresholds, page, ..Asked::default() })
}

/// What is asked beyond millilitres.
#[derive(Default)]
struct Asked {
    /// Thresholds of verdicts, where they are wanted.
    thresholds: Option<Thresholds>,
    /// The page that is wanted.
    page: Option<PageOf>,
    /// A file's device values are printed as they are.
    device_values: bool,
}

/// What a page is made of, apart from figures.
pub(crate) struct PageOf {
    letter: Letter,
    /// Pixels of each picture on it.
    pixels: u64,
}

/// A file's outcome with its proofs, where a page is wanted.
type Answer = (FileOutcome, Option<PictureEvidence>);

fn answer(
    arguments: &JobArguments,
    files: &[Listed],
    ink_sets: &[&str],
    asked: &Asked,
) -> Result<Exit, ShellError> {
    let job = Job {
        size: arguments.print.size(),
        copies: arguments.copies,
        rendering: arguments.print.rendering()?,
    };
    let JobArguments { ledger: path, calibration, .. } = arguments;
    let ledger = ledger_of(path, calibration)?;
    let prepared = prepare(&arguments.print.device, ink_sets)?;
    let prepared = calibrated(prepared, ledger.as_ref(), path, calibration)?;
    let censuses = ledger.map(KeptCensuses::new);
    let pictures = kept_pictures(files, arguments.print.device.no_cache);
    let memory = Memory {
        // A page shows more of a preview than is kept.
        pictures: pictures.as_ref().filter(|_| asked.page.is_none()),
        censuses: censuses.as_ref(),
        paper: prepared.first().and_then(|set| paper_shown(job.rendering, set)),
        preview: match (&asked.page, asked.thresholds) {
            (Some(_), _) => PreviewUse::Shown,
            (None, Some(_)) => PreviewUse::Verdict,
            (None, None) => PreviewUse::None,
        },
    };
    let reading = PictureReading::new(&arguments.pictures)?;
    let batch = Batch { files, jobs: arguments.files.jobs() };
    let answers = batch.run(
        |path, threads| {
            reading.each_page(path, threads, memory, |file, picture| {
                outcome(file, picture, &prepared, &job, asked)
            })
        },
        |name, error| (failed(name, error), None),
    );
    if let Some(censuses) = censuses {
        censuses.close();
    }
    if let Some(pictures) = pictures {
        pictures.close();
    }
    let (outcomes, evidence): (Vec<FileOutcome>, Vec<_>) = answers.into_iter().unzip();
    report(arguments, names(&prepared), outcomes, asked.page.as_ref().map(|page| (page, evidence)))
}

/// The store of counted pictures, for runs over several files: one file is counted before a store
/// is opened.
pub(crate) fn kept_pictures(files: &[Listed], unwanted: bool) -> Option<KeptPictures> {
    if files.len() < 2 || unwanted { None } else { KeptPictures::of_user() }
}

/// Says what was wrong, and writes the result.
pub(crate) fn report(
    arguments: &JobArguments,
    ink_sets: Vec<String>,
    outcomes: Vec<FileOutcome>,
    page: Option<(&PageOf, Vec<Option<PictureEvidence>>)>,
) -> Result<Exit, ShellError> {
    say_what_was_wrong(&outcomes);
    let exit = exit_of(&outcomes);
    let report = Report::new(PROGRAM, ink_sets, outcomes);
    let text = match (arguments.format, page) {
        #[cfg(feature = "parquet")]
        (Format::Parquet, _) => {
            write_bytes(&parquet(report.to_parquet())?, arguments.output.as_deref())?;
            return Ok(exit);
        }
        (Format::Html, Some((page, evidence))) => report.to_html(&page.letter, &evidence),
        (Format::Csv, _) => report.to_csv(),
        (Format::Json, _) => json(report.to_json())?,
        (Format::JsonLines, _) => json(report.to_json_lines())?,
        (Format::Table | Format::Html, _) => report.to_table(),
    };
    write_result(&text, arguments.output.as_deref())?;
    Ok(exit)
}

fn names(prepared: &[PreparedSet]) -> Vec<String> {
    prepared.iter().map(|set| set.set().name.clone()).collect()
}

fn failed(file: &str, error: &str) -> FileOutcome {
    FileOutcome { file: file.to_owned(), outcome: Err(error.to_owned()) }
}

/// Answers for one page of a file.
fn outcome(
    file: String,
    picture: Result<CountedPicture, EstimatingError>,
    prepared: &[PreparedSet],
    job: &Job,
    asked: &Asked,
) -> Answer {
    match picture.and_then(|picture| estimates(&picture, prepared, job, asked)) {
        Err(fault) => (failed(&file, &fault.to_string()), None),
        Ok((estimates, evidence)) => (FileOutcome { file, outcome: Ok(estimates) }, evidence),
    }
}

/// Says on standard error what is wrong with which file: warnings first, then, at the end where
/// they are seen, the files that could not be answered.
fn say_what_was_wrong(outcomes: &[FileOutcome]) {
    for FileOutcome { file, outcome } in outcomes {
        if let Some(first) = outcome.iter().flatten().next() {
            warn_of(file, &first.assumptions);
        }
    }
    say_failed(
        outcomes.len(),
        outcomes.iter().filter_map(|outcome| {
            Some((outcome.file.as_str(), outcome.outcome.as_ref().err()?.as_str()))
        }),
    );
}

/// Lists the files that could not be answered; of several files, how many they are.
pub(crate) fn say_failed<'a>(all: usize, failed: impl Iterator<Item = (&'a str, &'a str)>) {
    let mut count = 0;
    for (file, error) in failed {
        say("error", &format!("{file}: {error}"));
        count += 1;
    }
    if count > 0 && all > 1 {
        say("error", &format!("{count} of {all} files could not be answered"));
    }
}

fn estimates(
    counted: &CountedPicture,
    prepared: &[PreparedSet],
    job: &Job,
    asked: &Asked,
) -> Result<(Vec<Estimate>, Option<PictureEvidence>), EstimatingError> {
    let estimates = match (asked.thresholds, &asked.page) {
        (Some(thresholds), Some(page)) => {
            let (estimates, proofs) =
                estimates_with_proofs(counted, prepared, job, thresholds, page.pixels)?;
            return Ok((estimates, PictureEvidence::new(&names(prepared), &proofs)?));
        }
        (Some(thresholds), None) => estimates_with_verdicts(counted, prepared, job, thresholds)?,
        (None, _) if asked.device_values => {
            let values = |set| estimate_device_values(counted, set, job);
            prepared.iter().map(values).collect::<Result<_, _>>()?
        }
        (None, _) => {
            prepared.iter().map(|set| estimate(counted, set, job)).collect::<Result<_, _>>()?
        }
    };
    Ok((estimates, None))
}

/// Says on standard error what casts doubt on a picture's result.
pub(crate) fn warn_of(file: &str, assumptions: &[Assumption]) {
    for assumption in assumptions {
        if assumption.weight == Weight::Warning {
            say("warning", &format!("{file}: {}", assumption.text));
        }
    }
}

/// Opens and counts a page; the first set's paper shows through where it is transparent.
pub(crate) fn count(
    page: Page<'_>,
    reading: &PictureReading<'_>,
    rendering: RenderingChoice,
    prepared: &[PreparedSet],
) -> Result<CountedPicture, EstimatingError> {
    let paper = prepared.first().and_then(|set| paper_shown(rendering, set));
    let memory = Memory { paper, preview: PreviewUse::Shown, ..Memory::default() };
    reading.count(page, threads(), memory)
}

/// One thread decodes and one counts, or both do both, unless `--threads` allows one alone.
pub(crate) fn threads() -> NonZeroUsize {
    let two = NonZeroUsize::MIN.saturating_add(1);
    NonZeroUsize::new(rayon::current_num_threads()).unwrap_or(NonZeroUsize::MIN).min(two)
}

fn exit_of(outcomes: &[FileOutcome]) -> Exit {
    Exit::of_files(outcomes.iter().filter(|file| file.outcome.is_err()).count(), outcomes.len())
}
