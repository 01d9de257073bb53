use std::num::NonZeroUsize;

use estimating::{
    Assumption, CountedPicture, Estimate, EstimatingError, Job, PreparedSet, RenderingChoice,
    Weight, estimate, estimate_device_values, estimates_with_proofs, estimates_with_verdicts,
    paper_shown,
};
use proof::Thresholds;
use report::{FileOutcome, Letter, PictureEvidence, Report};

use crate::Exit;
use crate::arguments::{CompareArguments, EstimateArguments, Format, JobArguments};
use crate::calibrated_sets::{calibrated, ledger_of};
use crate::kept_censuses::KeptCensuses;
use crate::output::{say, write_result};
use crate::page_arguments::pixels_of_each;
use crate::picture_reading::{Page, PictureReading};
use crate::prepared_sets::prepare;
use crate::shell_error::ShellError;

/// The program's name and version, as reports give it.
pub(crate) const PROGRAM: &str = concat!("inkfathom ", env!("CARGO_PKG_VERSION"));

/// `inkfathom estimate`.
pub(crate) fn run_estimate(arguments: &EstimateArguments) -> Result<Exit, ShellError> {
    if arguments.job.format == Format::Html {
        return Err(ShellError::PageOfOneSet);
    }
    let asked = Asked { device_values: arguments.device_values, ..Asked::default() };
    answer(&arguments.job, &[arguments.ink_set.as_str()], asked)
}

/// `inkfathom compare`.
pub(crate) fn run_compare(arguments: &CompareArguments) -> Result<Exit, ShellError> {
    let names: Vec<&str> = arguments.ink_set.iter().map(String::as_str).collect();
    if names.len() < 2 {
        return Err(ShellError::NothingToCompare);
    }
    let page = (arguments.job.format == Format::Html).then(|| PageOf {
        letter: arguments.page.letter(),
        pixels: pixels_of_each(arguments.job.files.len(), names.len()),
    });
    let thresholds = Some(arguments.thresholds.thresholds()?);
    answer(&arguments.job, &names, Asked { thresholds, page, ..Asked::default() })
}

/// What is asked beyond millilitres.
#[derive(Default)]
struct Asked<'a> {
    /// Thresholds of verdicts, where they are wanted.
    thresholds: Option<Thresholds>,
    /// The page that is wanted.
    page: Option<PageOf>,
    /// Where counted colours are kept, if they are.
    censuses: Option<&'a KeptCensuses>,
    /// A file's device values are printed as they are.
    device_values: bool,
}

/// What a page is made of, apart from figures.
struct PageOf {
    letter: Letter,
    /// Pixels of each picture on it.
    pixels: u64,
}

/// A file's outcome with its proofs, where a page is wanted.
type Answer = (FileOutcome, Option<PictureEvidence>);

fn answer(
    arguments: &JobArguments,
    ink_sets: &[&str],
    asked: Asked<'_>,
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
    let asked = Asked { censuses: censuses.as_ref(), ..asked };
    let reading = PictureReading::new(&arguments.pictures)?;
    let (outcomes, evidence): (Vec<FileOutcome>, Vec<Option<PictureEvidence>>) = arguments
        .files
        .iter()
        .flat_map(|path| reading.pages(path))
        .map(|page| outcome(page, &reading, &prepared, &job, &asked))
        .unzip();
    let exit = exit_of(&outcomes);
    let report = Report::new(PROGRAM, names(&prepared), outcomes);
    let text = match (arguments.format, &asked.page) {
        (Format::Html, Some(page)) => report.to_html(&page.letter, &evidence),
        (Format::Csv, _) => report.to_csv(),
        (Format::Json, _) => {
            report.to_json().map_err(|fault| ShellError::Json(fault.to_string()))?
        }
        (Format::Table | Format::Html, _) => report.to_table(),
    };
    if let Some(censuses) = censuses {
        censuses.close();
    }
    write_result(&text, arguments.output.as_deref())?;
    Ok(exit)
}

fn names(prepared: &[PreparedSet]) -> Vec<String> {
    prepared.iter().map(|set| set.set().name.clone()).collect()
}

/// Answers one page of a file, and says on standard error what is wrong with it.
fn outcome(
    page: Page<'_>,
    reading: &PictureReading<'_>,
    prepared: &[PreparedSet],
    job: &Job,
    asked: &Asked<'_>,
) -> Answer {
    let file = page.name.clone();
    match estimates(page, reading, prepared, job, asked) {
        Err(fault) => {
            say("error", &format!("{file}: {fault}"));
            (FileOutcome { file, outcome: Err(fault.to_string()) }, None)
        }
        Ok((estimates, evidence)) => {
            let first = estimates.first();
            warn_of(&file, first.map_or(&[], |estimate| &estimate.assumptions));
            (FileOutcome { file, outcome: Ok(estimates) }, evidence)
        }
    }
}

fn estimates(
    page: Page<'_>,
    reading: &PictureReading<'_>,
    prepared: &[PreparedSet],
    job: &Job,
    asked: &Asked<'_>,
) -> Result<(Vec<Estimate>, Option<PictureEvidence>), EstimatingError> {
    let paper = prepared.first().and_then(|set| paper_shown(job.rendering, set));
    let counted = reading.count(page, paper, threads(), asked.censuses)?;
    let estimates = match (asked.thresholds, &asked.page) {
        (Some(thresholds), Some(page)) => {
            let (estimates, proofs) =
                estimates_with_proofs(&counted, prepared, job, thresholds, page.pixels)?;
            return Ok((estimates, PictureEvidence::new(&names(prepared), &proofs)?));
        }
        (Some(thresholds), None) => estimates_with_verdicts(&counted, prepared, job, thresholds)?,
        (None, _) if asked.device_values => {
            let values = |set| estimate_device_values(&counted, set, job);
            prepared.iter().map(values).collect::<Result<_, _>>()?
        }
        (None, _) => {
            prepared.iter().map(|set| estimate(&counted, set, job)).collect::<Result<_, _>>()?
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
    reading.count(page, paper, threads(), None)
}

/// One thread decodes and one counts, or both do both, unless `--threads` allows one alone.
pub(crate) fn threads() -> NonZeroUsize {
    let two = NonZeroUsize::MIN.saturating_add(1);
    NonZeroUsize::new(rayon::current_num_threads()).unwrap_or(NonZeroUsize::MIN).min(two)
}

fn exit_of(outcomes: &[FileOutcome]) -> Exit {
    Exit::of_files(outcomes.iter().filter(|file| file.outcome.is_err()).count(), outcomes.len())
}
