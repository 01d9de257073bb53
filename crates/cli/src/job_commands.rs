use std::cell::RefCell;
use std::fmt::Write;
use std::path::Path;
use std::rc::Rc;

use ledger::{
    Change, JobFilter, JobRow, Readings, RecordedJob, RowFault, TableFaults, read_job_table,
    write_job_table,
};

use crate::Exit;
use crate::ink_set_source::read_ink_set;
use crate::job_records::{CheckedRow, JobRecorder, table_text};
use crate::kept_censuses::KeptCensuses;
use crate::ledger_arguments::{
    AddArguments, CorrectArguments, ExportArguments, ImportArguments, JobsCommand, LedgerPath,
    ListArguments,
};
use crate::output::{say, write_result};
use crate::shell_error::ShellError;
use crate::today::today;

/// `inkfathom jobs …`.
pub(crate) fn run(command: &JobsCommand) -> Result<Exit, ShellError> {
    match command {
        JobsCommand::Add(arguments) => add(arguments),
        JobsCommand::Import(arguments) => import(arguments),
        JobsCommand::List(arguments) => list(arguments),
        JobsCommand::Correct(arguments) => correct(arguments),
        JobsCommand::Export(arguments) => export(arguments),
    }
}

fn add(arguments: &AddArguments) -> Result<Exit, ShellError> {
    let row = row_of(arguments)?;
    let recorder = JobRecorder { folder: Path::new(""), sets: RefCell::default() };
    let faulty = |faults: TableFaults| ShellError::FaultyJob(texts(&faults));
    let checked = check(&recorder, vec![row], &arguments.ledger).map_err(faulty)?;
    let numbers = record(checked, &arguments.ledger, faulty)?;
    for number in numbers {
        say("ok", &format!("job {number} added"));
    }
    Ok(Exit::Answered)
}

/// The faults without lines, where there is no table.
fn texts(faults: &TableFaults) -> String {
    faults.0.iter().map(|fault| fault.text.as_str()).collect::<Vec<_>>().join("\n")
}

fn row_of(arguments: &AddArguments) -> Result<JobRow, ShellError> {
    let date = arguments.date.or_else(today);
    let date = date.ok_or(ShellError::NoDate)?;
    let readings =
        arguments.total_ml.map_or_else(|| Readings::ByInk(arguments.ml.clone()), Readings::Total);
    Ok(JobRow {
        line: 1,
        date,
        file: arguments.file.clone(),
        content_hash: None,
        ink_set: arguments.device.ink_set.clone(),
        substrate: arguments.substrate.clone(),
        print_mode: arguments.device.print_mode.clone(),
        rendering: arguments.rendering.clone(),
        policy: arguments.policy.clone(),
        width: arguments.width,
        height: arguments.height,
        copies: arguments.copies,
        measured_by: arguments.measured_by,
        resolution: arguments.resolution_ml,
        includes: arguments.includes,
        readings,
        note: arguments.note.clone(),
    })
}

fn import(arguments: &ImportArguments) -> Result<Exit, ShellError> {
    let path = &arguments.table;
    let faulty = |faults| ShellError::FaultyJobs { path: path.clone(), faults };
    let text = table_text(path)
        .map_err(|cause| ShellError::UnreadableJobs { path: path.clone(), cause })?;
    let rows = read_job_table(&text).map_err(faulty)?;
    let named = arguments.ink_set.iter().map(|source| {
        let set = read_ink_set(source)?.set;
        Ok((set.name.clone(), Rc::new(set)))
    });
    let sets = RefCell::new(named.collect::<Result<_, ShellError>>()?);
    let folder = path.parent().unwrap_or(Path::new(""));
    let recorder = JobRecorder { folder, sets };
    let checked = check(&recorder, rows, &arguments.ledger).map_err(faulty)?;
    let numbers = record(checked, &arguments.ledger, faulty)?;
    say("ok", &format!("{} jobs added", numbers.len()));
    Ok(Exit::Answered)
}

/// Checks every row and tells every fault. Nothing is written.
fn check(
    recorder: &JobRecorder<'_>,
    rows: Vec<JobRow>,
    place: &LedgerPath,
) -> Result<Vec<(u64, CheckedRow)>, TableFaults> {
    // A ledger that can't be opened is told when it is to be written.
    let ledger = place.open_if_any().ok().flatten();
    let (mut checked, mut faults) = (Vec::new(), Vec::new());
    for row in rows {
        let line = row.line;
        match recorder.check(row, ledger.as_ref()) {
            Ok(row) => checked.push((line, row)),
            Err(texts) => faults.extend(texts.into_iter().map(|text| RowFault::new(line, text))),
        }
    }
    if faults.is_empty() { Ok(checked) } else { Err(TableFaults(faults)) }
}

/// Counts the pictures and adds the jobs, all of them or none; `faulty` puts faults of rows in words.
fn record(
    rows: Vec<(u64, CheckedRow)>,
    place: &LedgerPath,
    faulty: impl FnOnce(TableFaults) -> ShellError,
) -> Result<Vec<i64>, ShellError> {
    let censuses = KeptCensuses::new(place.open_or_begin()?);
    let (mut jobs, mut faults) = (Vec::new(), Vec::new());
    for (line, row) in rows {
        match row.record(&censuses) {
            Ok(job) => jobs.push(job),
            Err(text) => faults.push(RowFault::new(line, text)),
        }
    }
    if !faults.is_empty() {
        return Err(faulty(TableFaults(faults)));
    }
    // A job without the census of its picture could never be learned from.
    let mut ledger = censuses.into_ledger()?;
    let on = today().ok_or(ShellError::NoDate)?;
    Ok(ledger.add_jobs(&jobs, on)?)
}

fn list(arguments: &ListArguments) -> Result<Exit, ShellError> {
    let ledger = arguments.ledger.open()?;
    let filter = JobFilter { ink_set: arguments.ink_set.as_deref(), print_mode: None };
    let mut text = String::new();
    for job in ledger.jobs(filter)? {
        push(&mut text, &described(&job));
        if arguments.corrections {
            for correction in ledger.corrections(Some(job.number))? {
                let because = if correction.reason.is_empty() { "" } else { ": " };
                push(
                    &mut text,
                    &format!(
                        "       {} {} was {}, is {}{because}{}",
                        correction.corrected_on,
                        correction.what,
                        correction.before,
                        correction.after,
                        correction.reason
                    ),
                );
            }
        }
    }
    if text.is_empty() {
        say("notice", "no job; `jobs add` and `jobs import` add some");
    }
    write_result(&text, None)?;
    Ok(Exit::Answered)
}

fn described(recorded: &RecordedJob) -> String {
    let job = &recorded.job;
    let readings = match &job.readings {
        Readings::Total(total) => format!("total {}", total.to_millilitres()),
        Readings::ByInk(inks) => inks
            .iter()
            .map(|(ink, ml)| format!("{ink} {}", ml.to_millilitres()))
            .collect::<Vec<_>>()
            .join(", "),
    };
    let includes = job.includes.to_string();
    let with = if includes.is_empty() { String::new() } else { format!(", with {includes}") };
    let left_out = if recorded.left_out { ", left out" } else { "" };
    let corrected = match recorded.corrections {
        0 => String::new(),
        times => format!(", corrected {times} ×"),
    };
    format!(
        "{:>4}  {}  {} × {} of {}, {} ({}, {}); ml: {readings}{with} ({}){left_out}{corrected}",
        recorded.number,
        job.printed_on,
        job.copies,
        format_args!("{} × {}", job.width, job.height),
        job.picture,
        job.ink_set,
        job.substrate,
        job.print_mode,
        job.measured_by.word(),
    )
}

fn correct(arguments: &CorrectArguments) -> Result<Exit, ShellError> {
    let changes = changes(arguments);
    if changes.is_empty() {
        return Err(ShellError::NothingToCorrect);
    }
    let on = today().ok_or(ShellError::NoDate)?;
    arguments.ledger.open()?.correct(arguments.number, &changes, on, &arguments.reason)?;
    say("ok", &format!("job {} corrected; the values before are kept", arguments.number));
    Ok(Exit::Answered)
}

fn changes(arguments: &CorrectArguments) -> Vec<Change> {
    let CorrectArguments { ml, total_ml, width, height, copies, date, .. } = arguments;
    let CorrectArguments { measured_by, resolution_ml, includes, left_out, note, .. } = arguments;
    let inks = ml.iter().map(|(ink, volume)| Change::Reading(Some(ink.clone()), *volume));
    inks.chain(total_ml.map(|volume| Change::Reading(None, volume)))
        .chain(width.map(Change::Width))
        .chain(height.map(Change::Height))
        .chain(copies.map(Change::Copies))
        .chain(date.map(Change::PrintedOn))
        .chain(measured_by.map(Change::MeasuredBy))
        .chain(resolution_ml.map(Change::Resolution))
        .chain(includes.map(Change::Includes))
        .chain(left_out.map(Change::LeftOut))
        .chain(note.clone().map(Change::Note))
        .collect()
}

fn export(arguments: &ExportArguments) -> Result<Exit, ShellError> {
    let jobs = arguments.ledger.open()?.jobs(JobFilter::default())?;
    write_result(&write_job_table(&jobs), arguments.output.as_deref())?;
    Ok(Exit::Answered)
}

fn push(text: &mut String, line: &str) {
    // Writing to a string can't fail.
    let _ = writeln!(text, "{line}");
}
