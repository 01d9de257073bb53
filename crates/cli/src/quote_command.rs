use estimating::{
    Estimate, Job, PreparedSet, estimate, learned_start_up, ordered_picture, paper_shown,
    priced_assumptions,
};
use pricing::{Order, OrderedPicture, quote};
use report::{QuoteContext, QuoteReport};

use crate::Exit;
use crate::batch::Batch;
use crate::calibrated_sets::{calibrated_set, ledger_of};
use crate::estimating_commands::{PROGRAM, kept_pictures, say_failed, warn_of};
use crate::output::{json, write_result};
#[cfg(feature = "parquet")]
use crate::output::{parquet, write_bytes};
use crate::picture_reading::{Memory, PictureReading};
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
    let files = arguments.files.listed()?;
    let pictures = kept_pictures(&files, arguments.print.device.no_cache);
    let memory = Memory {
        pictures: pictures.as_ref(),
        paper: paper_shown(job.rendering, &set),
        ..Memory::default()
    };
    let outcomes: Vec<Outcome> = Batch { files: &files, jobs: arguments.files.jobs() }.run(
        |path, threads| {
            reading.each_page(path, threads, memory, |file, picture| {
                let estimated = picture.and_then(|picture| estimate(&picture, &set, &job));
                (file, estimated.map_err(|fault| fault.to_string()))
            })
        },
        |name, error| (name.to_owned(), Err(error.to_owned())),
    );
    if let Some(pictures) = pictures {
        pictures.close();
    }
    answered(&outcomes).for_each(|(file, estimate)| warn_of(file, &estimate.assumptions));
    say_failed(outcomes.len(), not_answered(&outcomes));
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
        MoneyFormat::JsonLines => json(report.to_json_lines())?,
        #[cfg(feature = "parquet")]
        MoneyFormat::Parquet => {
            write_bytes(&parquet(report.to_parquet())?, arguments.result.output.as_deref())?;
            return Ok(exit);
        }
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

fn not_answered(outcomes: &[Outcome]) -> impl Iterator<Item = (&str, &str)> {
    outcomes
        .iter()
        .filter_map(|(file, outcome)| Some((file.as_str(), outcome.as_ref().err()?.as_str())))
}

fn answered(outcomes: &[Outcome]) -> impl Iterator<Item = (&str, &Estimate)> {
    outcomes.iter().filter_map(|(file, outcome)| Some((file.as_str(), outcome.as_ref().ok()?)))
}

fn context(set: &PreparedSet, outcomes: &[Outcome]) -> QuoteContext {
    let failed = not_answered(outcomes).map(|(file, error)| (file.to_owned(), error.to_owned()));
    QuoteContext {
        substrate: set.substrate().name.clone(),
        print_mode: set.print_mode().name.clone(),
        assumptions: priced_assumptions(answered(outcomes).map(|(_, estimate)| estimate)),
        failed: failed.collect(),
    }
}
