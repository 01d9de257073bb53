use std::fs;
use std::path::PathBuf;
use std::thread;
use std::time::{Duration, Instant};

use estimating::{
    Estimate, EstimatingError, Job, PreparedSet, PreviewUse, estimate, estimates_with_verdicts,
    paper_shown,
};
use proof::Thresholds;
use report::{FileOutcome, Report};

use crate::Exit;
use crate::calibrated_sets::{calibrated, ledger_of};
use crate::estimating_commands::{PROGRAM, threads};
use crate::output::{say, write_file, write_result};
use crate::picture_reading::{Memory, Page, PictureReading};
use crate::prepared_sets::prepare;
use crate::shell_error::ShellError;
use crate::watch_arguments::{ResultForm, WatchArguments};
use crate::watch_journal::{Step, WatchJournal};
use crate::watched_folder::{FileState, WatchedFolder};

/// `inkfathom watch`. Without `--once` it ends only when it is ended; that may happen at any
/// moment.
pub(crate) fn run(arguments: &WatchArguments) -> Result<Exit, ShellError> {
    let mut watch = Watch::begin(arguments)?;
    watch.look()?;
    if arguments.once {
        thread::sleep(arguments.settle);
        watch.round()?;
        return Ok(watch.exit());
    }
    let mut told = String::new();
    loop {
        thread::sleep(arguments.settle);
        // A folder on another machine may go away for a while: told once, and looked for again.
        let fault = watch.round().err().map(|fault| fault.to_string()).unwrap_or_default();
        if !fault.is_empty() && fault != told {
            say("error", &fault);
        }
        told = fault;
    }
}

struct Watch<'a> {
    arguments: &'a WatchArguments,
    answering: Answering<'a>,
    folder: WatchedFolder,
    journal: WatchJournal,
    posting: Posting,
    failed: usize,
    answered: usize,
}

impl<'a> Watch<'a> {
    fn begin(arguments: &'a WatchArguments) -> Result<Self, ShellError> {
        let mut folder = WatchedFolder::new(arguments.folder.clone());
        folder.look()?;
        Ok(Self {
            arguments,
            answering: Answering::prepare(arguments)?,
            journal: WatchJournal::open(&arguments.folder)?,
            folder,
            posting: Posting::default(),
            failed: 0,
            answered: 0,
        })
    }

    fn look(&mut self) -> Result<(), ShellError> {
        self.folder.look().map(drop)
    }

    /// Answers what is complete, and posts what waits for it.
    fn round(&mut self) -> Result<(), ShellError> {
        for (name, state) in self.folder.look()? {
            self.advance(&name, state)?;
        }
        self.post()
    }

    fn advance(&mut self, name: &str, state: FileState) -> Result<(), ShellError> {
        let result = self.result_path(name);
        match self.journal.step(name, state) {
            Some(Step::Done | Step::Unposted) => Ok(()),
            // Ended by force after the result was in its place and before that was written down.
            Some(Step::Begun { result_before }) if FileState::of(&result) != result_before => {
                self.journal.record(name, state, self.after_writing())
            }
            Some(Step::Begun { .. }) | None => {
                let result_before = FileState::of(&result);
                self.journal.record(name, state, Step::Begun { result_before })?;
                let (report, outcome) = self.answering.answer(&self.folder.path(name), name);
                write_file(written(&report, self.arguments.format)?.as_bytes(), &result)?;
                self.journal.record(name, state, self.after_writing())?;
                self.tell(name, outcome)
            }
        }
    }

    fn tell(&mut self, name: &str, outcome: Result<String, String>) -> Result<(), ShellError> {
        match outcome {
            Ok(totals) => {
                self.answered += 1;
                write_result(&format!("{name}: {totals}\n"), None)
            }
            Err(error) => {
                self.failed += 1;
                say("error", &format!("{name}: {error}"));
                Ok(())
            }
        }
    }

    const fn after_writing(&self) -> Step {
        if self.arguments.post_to.is_some() { Step::Unposted } else { Step::Done }
    }

    fn result_path(&self, name: &str) -> PathBuf {
        self.folder.path(&format!("{name}{}", self.arguments.format.ending()))
    }

    fn post(&mut self) -> Result<(), ShellError> {
        let Some(receiver) = &self.arguments.post_to else { return Ok(()) };
        if !self.posting.is_due() {
            return Ok(());
        }
        for name in self.journal.unposted() {
            let path = self.result_path(&name);
            let posted = fs::read_to_string(&path)
                .map_err(|cause| format!("{}: {cause}", path.display()))
                .and_then(|body| receiver.post(&name, &body, self.arguments.format.media_type()));
            match posted {
                Ok(()) => {
                    self.posting.succeeded();
                    self.journal.finish(&name)?;
                }
                Err(fault) => {
                    say("warning", &format!("{name}: not posted: {fault}; it will be tried again"));
                    self.posting.failed();
                }
            }
        }
        Ok(())
    }

    fn exit(&self) -> Exit {
        if self.arguments.post_to.is_some() && !self.journal.unposted().is_empty() {
            return Exit::Output;
        }
        Exit::of_files(self.failed, self.answered + self.failed)
    }
}

/// When to try again after a receiver did not accept a result.
#[derive(Default)]
struct Posting {
    pause: Duration,
    not_before: Option<Instant>,
}

/// Pauses double from a second to five minutes: soon enough after a restart of the receiver, and
/// seldom enough not to trouble one that is down all night. Our choice.
const FIRST_PAUSE: Duration = Duration::from_secs(1);
const LONGEST_PAUSE: Duration = Duration::from_secs(300);

impl Posting {
    fn is_due(&self) -> bool {
        self.not_before.is_none_or(|moment| Instant::now() >= moment)
    }

    fn succeeded(&mut self) {
        *self = Self::default();
    }

    fn failed(&mut self) {
        self.pause = (2 * self.pause).clamp(FIRST_PAUSE, LONGEST_PAUSE);
        self.not_before = Some(Instant::now() + self.pause);
    }
}

/// All that is the same for every file.
struct Answering<'a> {
    prepared: Vec<PreparedSet>,
    reading: PictureReading<'a>,
    job: Job,
    thresholds: Thresholds,
}

impl<'a> Answering<'a> {
    fn prepare(arguments: &'a WatchArguments) -> Result<Self, ShellError> {
        let names: Vec<&str> = arguments.ink_set.iter().map(String::as_str).collect();
        let job = Job {
            size: arguments.print.size(),
            copies: arguments.copies,
            rendering: arguments.print.rendering()?,
        };
        let ledger = ledger_of(&arguments.ledger, &arguments.calibration)?;
        let prepared = prepare(&arguments.print.device, &names)?;
        let wish = &arguments.calibration;
        Ok(Self {
            prepared: calibrated(prepared, ledger.as_ref(), &arguments.ledger, wish)?,
            reading: PictureReading::new(&arguments.pictures)?,
            job,
            thresholds: arguments.thresholds.thresholds()?,
        })
    }

    /// The report on a file, with its totals in a line, or why there are none.
    fn answer(&self, path: &std::path::Path, name: &str) -> (Report, Result<String, String>) {
        let mut outcomes = Vec::new();
        let mut lines = Vec::new();
        for mut page in self.reading.pages(path) {
            page.name = page.name.replacen(&path.display().to_string(), name, 1);
            let file = page.name.clone();
            let outcome = self.estimates(page).map_err(|fault| fault.to_string());
            lines.push(outcome.as_ref().map(|estimates| totals(estimates)).map_err(String::clone));
            outcomes.push(FileOutcome { file, outcome });
        }
        let names = self.prepared.iter().map(|set| set.set().name.clone()).collect();
        let lines: Result<Vec<String>, String> = lines.into_iter().collect();
        (Report::new(PROGRAM, names, outcomes), lines.map(|lines| lines.join("; ")))
    }

    fn estimates(&self, page: Page<'_>) -> Result<Vec<Estimate>, EstimatingError> {
        let paper = self.prepared.first().and_then(|set| paper_shown(self.job.rendering, set));
        let judges = self.prepared.len() > 1;
        let preview = if judges { PreviewUse::Verdict } else { PreviewUse::None };
        let memory = Memory { paper, preview, ..Memory::default() };
        let counted = self.reading.count(page, threads(), memory)?;
        if judges {
            return estimates_with_verdicts(&counted, &self.prepared, &self.job, self.thresholds);
        }
        self.prepared.iter().map(|set| estimate(&counted, set, &self.job)).collect()
    }
}

fn totals(estimates: &[Estimate]) -> String {
    let total = |estimate: &Estimate| {
        let ml = estimate.dose.total.expected.to_millilitres();
        format!("{ml:.2} ml on {}", estimate.ink_set)
    };
    estimates.iter().map(total).collect::<Vec<_>>().join(", ")
}

fn written(report: &Report, form: ResultForm) -> Result<String, ShellError> {
    match form {
        ResultForm::Json => report.to_json().map_err(|fault| ShellError::Json(fault.to_string())),
        ResultForm::Csv => Ok(report.to_csv()),
        ResultForm::Table => Ok(report.to_table()),
    }
}
