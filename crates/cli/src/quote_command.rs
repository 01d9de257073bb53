use std::slice;

use estimating::{
    Estimate, Job, PreparedSet, estimate, learned_start_up, ordered_picture, priced_assumptions,
};
use pricing::{Order, OrderedPicture, quote};
use report::{QuoteContext, QuoteReport};

use crate::Exit;
use crate::calibrated_sets::{calibrated_set, ledger_of};
use crate::estimating_commands::{PROGRAM, count, warn_of};
use crate::output::{json, say, write_result};
use crate::picture_reading::{Page, PictureReading};
use crate::prepared_sets::prepare_one;
use crate::price_list_source::read_price_list;
use crate::pricing_arguments::{MoneyFormat, QuoteArguments};
use crate::shell_error::ShellError;

/// `inkfathom quote`.
pub(crate) fn run(arguments: &QuoteArguments) -> Result<Exit, ShellError> {
    let list = read_price_list(&arguments.price_list)?;
    let job = Job {
        size: arguments.print.size(),
        copies: arguments.copies,
        rendering: arguments.print.rendering()?,
    };
    let set = learned_set(arguments)?;
    let reading = PictureReading::new(&arguments.pictures)?;
    let pages = arguments.files.iter().flat_map(|path| reading.pages(path));
    let outcomes: Vec<Outcome> = pages.map(|page| outcome(page, &reading, &set, &job)).collect();
    let failed = outcomes.iter().filter(|(_, outcome)| outcome.is_err()).count();
    let exit = Exit::of_files(failed, outcomes.len());
    if failed == outcomes.len() {
        return Ok(exit);
    }
    let pictures: Vec<OrderedPicture> =
        answered(&outcomes).map(|(file, estimate)| ordered_picture(file, estimate)).collect();
    let order = Order {
        set: set.set(),
        substrate: &set.substrate().name,
        paper: arguments.paper.as_deref(),
        roll_width: arguments.roll,
        start_up: learned_start_up(answered(&outcomes).map(|(_, estimate)| estimate)),
        pictures: &pictures,
    };
    let report = QuoteReport::new(PROGRAM, &quote(&list, &order)?, context(&set, &outcomes));
    let text = match arguments.result.format {
        MoneyFormat::Table => report.to_table(),
        MoneyFormat::Csv => report.to_csv(),
        MoneyFormat::Json => json(report.to_json())?,
        MoneyFormat::Html => {
            report.to_html(&arguments.result.page.letter(), arguments.for_customer)
        }
    };
    write_result(&text, arguments.result.output.as_deref())?;
    Ok(exit)
}

/// The ink set with the calibration that holds for it, as for `estimate`.
fn learned_set(arguments: &QuoteArguments) -> Result<PreparedSet, ShellError> {
    let QuoteArguments { ledger: path, calibration, .. } = arguments;
    let ledger = ledger_of(path, calibration)?;
    let set = prepare_one(&arguments.print.device, &arguments.ink_set)?;
    calibrated_set(set, ledger.as_ref(), path, calibration)
}

/// A file and its estimate, or why there is none.
type Outcome = (String, Result<Estimate, String>);

/// Estimates one page of a file, and says on standard error what is wrong with it.
fn outcome(page: Page<'_>, reading: &PictureReading<'_>, set: &PreparedSet, job: &Job) -> Outcome {
    let file = page.name.clone();
    let estimated = count(page, reading, job.rendering, slice::from_ref(set))
        .and_then(|picture| estimate(&picture, set, job))
        .map_err(|fault| fault.to_string());
    match &estimated {
        Err(error) => say("error", &format!("{file}: {error}")),
        Ok(estimate) => warn_of(&file, &estimate.assumptions),
    }
    (file, estimated)
}

fn answered(outcomes: &[Outcome]) -> impl Iterator<Item = (&str, &Estimate)> {
    outcomes.iter().filter_map(|(file, outcome)| Some((file.as_str(), outcome.as_ref().ok()?)))
}

fn context(set: &PreparedSet, outcomes: &[Outcome]) -> QuoteContext {
    let failed = outcomes
        .iter()
        .filter_map(|(file, outcome)| Some((file.clone(), outcome.as_ref().err()?.clone())));
    QuoteContext {
        substrate: set.substrate().name.clone(),
        print_mode: set.print_mode().name.clone(),
        assumptions: priced_assumptions(answered(outcomes).map(|(_, estimate)| estimate)),
        failed: failed.collect(),
    }
}
