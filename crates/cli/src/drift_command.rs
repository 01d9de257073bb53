use std::fmt::Write;

use dosing::{Direction, DriftSignal, DriftStep, MeasuredJob, watch};

use crate::Exit;
use crate::ledger_arguments::DriftArguments;
use crate::measured_jobs::MeasuredJobs;
use crate::output::write_result;
use crate::shell_error::ShellError;

/// `inkfathom drift`.
pub(crate) fn run(arguments: &DriftArguments) -> Result<Exit, ShellError> {
    let ledger = arguments.ledger.open()?;
    let measured = MeasuredJobs::gather(&ledger, &arguments.device)?;
    let (ink_set, print_mode) = (measured.ink_set, measured.print_mode);
    let stored = match &arguments.calibration {
        Some(name) => ledger.calibration(name)?,
        None => ledger
            .active_calibration(&ink_set, &print_mode)?
            .ok_or(ShellError::NotCalibrated { ink_set, print_mode })?,
    };
    let later: Vec<MeasuredJob> =
        measured.jobs.into_iter().filter(|job| !stored.job_numbers.contains(&job.number)).collect();
    let steps = watch(&stored.calibration, &later);
    let mut text = String::new();
    // Writing to a string can't fail.
    let _ = writeln!(
        text,
        "{} jobs held against calibration {}, on one chart for each ink",
        later.len(),
        stored.label
    );
    for step in &steps {
        let _ = writeln!(text, "{}", described(step, &stored.inks));
    }
    let signals: Vec<&DriftStep> = steps.iter().filter(|step| step.signal.is_some()).collect();
    if later.is_empty() {
        let _ = writeln!(text, "\nno job since the calibration: nothing to hold against it");
    } else if signals.is_empty() {
        let _ = writeln!(text, "\nno drift: readings agree with their predictions");
    }
    for step in signals {
        let _ = writeln!(text, "\n{}", sentence(step, &stored.inks));
    }
    write_result(&text, None)?;
    Ok(Exit::Answered)
}

fn ink<'a>(step: &DriftStep, inks: &'a [String]) -> &'a str {
    step.channel.and_then(|channel| inks.get(channel)).map_or("the total", String::as_str)
}

fn described(step: &DriftStep, inks: &[String]) -> String {
    let mark = if step.signal.is_some() { "!" } else { " " };
    format!(
        "{mark} job {:>4}  {:<16} {:>9.2} ml, predicted {:>9.2}  ({:+.1} deviations)",
        step.job,
        ink(step, inks),
        step.measured.to_millilitres(),
        step.predicted.to_millilitres(),
        step.deviations
    )
}

/// What a signal says, and what may be behind it.
fn sentence(step: &DriftStep, inks: &[String]) -> String {
    let Some(DriftSignal { direction, percent, readings }) = step.signal else {
        return String::new();
    };
    let (way, causes) = match direction {
        Direction::More => (
            "more",
            "another ink lot, a head that fires larger drops (warmer, or driven harder), a medium \
             that is printed with another setting, or a leak",
        ),
        Direction::Less => (
            "less",
            "nozzles that don't fire, air in the line, another ink lot, a head that fires smaller \
             drops, or a medium that is printed with another setting",
        ),
    };
    let span = if readings == 1 { "1 reading".to_owned() } else { format!("{readings} readings") };
    format!(
        "drift at job {}: {} takes {way} than predicted, {percent:+.0} % over {span}. It may be \
         {causes}. Print the machine's nozzle check; if it is sound, fit a new calibration.",
        step.job,
        ink(step, inks)
    )
}
