use dosing::{Bootstrap, fit};
use ledger::{CalibrationLabel, CalibrationName, StoredCalibration};

use crate::Exit;
use crate::calibration_text::{described, summarised};
use crate::estimating_commands::PROGRAM;
use crate::ledger_arguments::{CalibrationCommand, CalibrationNamed, FitArguments, LedgerPath};
use crate::measured_jobs::MeasuredJobs;
use crate::output::{say, write_result};
use crate::shell_error::ShellError;
use crate::today::today;

/// `inkfathom calibration …`.
pub(crate) fn run(command: &CalibrationCommand) -> Result<Exit, ShellError> {
    match command {
        CalibrationCommand::Fit(arguments) => fit_jobs(arguments),
        CalibrationCommand::List(place) => list(place),
        CalibrationCommand::Show(named) => show(named),
        CalibrationCommand::Use(named) => use_from_now(named),
    }
}

fn fit_jobs(arguments: &FitArguments) -> Result<Exit, ShellError> {
    let mut ledger = arguments.ledger.open()?;
    let measured = MeasuredJobs::gather(&ledger, &arguments.device)?;
    let prior = if arguments.straight {
        measured.prior.clone().with_straight_curves()
    } else {
        measured.prior.clone()
    };
    let fitted = fit(&prior, &measured.jobs, Bootstrap::default())?;
    let name = match &arguments.name {
        Some(name) => name.clone(),
        None => name_of(&measured)?,
    };
    let mut stored = StoredCalibration {
        label: CalibrationLabel { name, version: 0 },
        fitted_on: today().ok_or(ShellError::NoDate)?,
        program: PROGRAM.to_owned(),
        inks: prior.channels.iter().map(|channel| channel.name.clone()).collect(),
        ink_set: measured.ink_set,
        fingerprint: measured.fingerprint,
        print_mode: measured.print_mode,
        calibration: fitted.calibration,
        leave_one_out: fitted.leave_one_out,
        job_numbers: measured.jobs.iter().map(|job| job.number).collect(),
        findings: fitted.findings.iter().map(ToString::to_string).collect(),
        active: true,
    };
    stored.label = ledger.keep_calibration(&stored)?;
    write_result(&described(&stored), None)?;
    Ok(Exit::Answered)
}

/// The name of a calibration that was given none: ink set and print mode, as far as names go.
fn name_of(measured: &MeasuredJobs) -> Result<CalibrationName, ShellError> {
    let both = format!("{} {}", measured.ink_set, measured.print_mode);
    let plain: String =
        both.chars().map(|letter| if letter.is_alphanumeric() { letter } else { '-' }).collect();
    Ok(plain.chars().take(60).collect::<String>().parse()?)
}

fn list(place: &LedgerPath) -> Result<Exit, ShellError> {
    let all = place.open()?.calibrations()?;
    if all.is_empty() {
        say("notice", "no calibration; `calibration fit` makes one");
    }
    let text: String = all.iter().map(|stored| summarised(stored) + "\n").collect();
    write_result(&text, None)?;
    Ok(Exit::Answered)
}

fn show(named: &CalibrationNamed) -> Result<Exit, ShellError> {
    let stored = named.ledger.open()?.calibration(&named.name)?;
    write_result(&described(&stored), None)?;
    Ok(Exit::Answered)
}

fn use_from_now(named: &CalibrationNamed) -> Result<Exit, ShellError> {
    let label = named.ledger.open()?.use_calibration(&named.name)?;
    say("ok", &format!("estimates use calibration {label} from now on"));
    Ok(Exit::Answered)
}
