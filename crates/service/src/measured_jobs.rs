use std::sync::Arc;

use ledger::{CalendarDate, Includes, Job, JobFilter, MeasuredBy, Readings, RecordedJob};
use report::wire;
use units::{Length, Volume};

use crate::access::Access;
use crate::clock::today;
use crate::{JobForm, MeasuredEntry, Problem, ProblemClass, Studio, StudioUser, WhatIf};

impl Studio {
    /// The day by the machine's clock, in universal time, as a field shows it.
    #[must_use]
    pub fn today(&self) -> String {
        today().map_or_else(String::new, |day| day.to_string())
    }

    /// Keeps what a printer reported of a print of an upload, as a job of the ledger, and gives the
    /// job's number.
    ///
    /// # Errors
    ///
    /// `Usage` for what can't be read, with its range; whatever is wrong with the print.
    pub async fn keep_measured(
        self: &Arc<Self>,
        user: &StudioUser,
        access: &Access,
        entry: MeasuredEntry,
    ) -> Result<i64, Problem> {
        let upload = access.upload.clone();
        let what_if = WhatIf {
            ink_set: entry.what_if.ink_set.iter().take(1).cloned().collect(),
            ..entry.what_if.clone()
        };
        let report = self.estimate(access, &what_if).await?;
        let estimate = only_estimate(&report)?;
        let set = self.ink_sets().iter().find(|set| set.name == estimate.ink_set);
        let job = Job {
            printed_on: day(&entry.printed_on)?,
            picture: upload.upload.name.clone(),
            content_hash: upload.upload.content_hash,
            fingerprint: set.map_or_else(String::new, |set| set.fingerprint.clone()),
            ink_set: estimate.ink_set.clone(),
            substrate: estimate.substrate.clone(),
            print_mode: estimate.print_mode.clone(),
            rendering: "relative".to_owned(),
            policy: policy_words(&what_if),
            width: side(estimate.width_mm)?,
            height: side(estimate.height_mm)?,
            copies: what_if.copies,
            measured_by: MeasuredBy::from_word(&entry.measured_by).ok_or_else(|| {
                let words = MeasuredBy::ALL.map(MeasuredBy::word).join(", ");
                usage(format!("measured_by is `{}`; write one of {words}", entry.measured_by))
            })?,
            resolution: millilitres("the smallest step", entry.resolution_ml)?,
            includes: Includes::from_words(&entry.includes).map_err(usage)?,
            readings: readings(&entry, estimate)?,
            note: String::new(),
        };
        let on = today().ok_or_else(|| Problem::internal("the clock gives no date"))?;
        let numbers = self
            .with_ledger(user, move |ledger| Ok(ledger.add_jobs(std::slice::from_ref(&job), on)?))
            .await?;
        numbers.first().copied().ok_or_else(|| Problem::internal("a job without a number"))
    }

    /// The measured jobs of an upload's picture.
    ///
    /// # Errors
    ///
    /// What the ledger refuses.
    pub async fn measured_of(
        self: &Arc<Self>,
        user: &StudioUser,
        access: &Access,
    ) -> Result<Vec<JobForm>, Problem> {
        let hash = access.upload.upload.content_hash;
        self.with_ledger(user, move |ledger| {
            let jobs = ledger.jobs(JobFilter::default())?;
            let of_picture = jobs.iter().filter(|recorded| recorded.job.content_hash == hash);
            Ok(of_picture.map(JobForm::of).collect())
        })
        .await
    }
}

impl JobForm {
    fn of(recorded: &RecordedJob) -> Self {
        let job = &recorded.job;
        let readings = match &job.readings {
            Readings::Total(total) => format!("total {}", total.to_millilitres()),
            Readings::ByInk(inks) => {
                let one = |(ink, ml): &(String, Volume)| format!("{ink} {}", ml.to_millilitres());
                inks.iter().map(one).collect::<Vec<_>>().join(", ")
            }
        };
        let size = format!("{} × {}", job.width, job.height);
        Self {
            number: recorded.number,
            printed_on: job.printed_on.to_string(),
            print: format!(
                "{} × {size}, {} ({}, {})",
                job.copies, job.ink_set, job.substrate, job.print_mode
            ),
            readings,
        }
    }
}

fn only_estimate(report: &report::Report) -> Result<&wire::Estimate, Problem> {
    match report.document().files.first().map(|file| &file.status) {
        Some(wire::Status::Estimated { estimates, .. }) => {
            estimates.first().ok_or_else(|| Problem::internal("an answer without an estimate"))
        }
        _ => Err(Problem::internal("an answer without an estimate")),
    }
}

/// The words by which the command line knows a policy.
fn policy_words(what_if: &WhatIf) -> String {
    match (what_if.black_replacement, what_if.least_ink, &what_if.monochrome) {
        (Some(percent), _, _) => format!("black-replacement {percent}"),
        (None, Some(delta_e), _) => format!("least-ink {delta_e}"),
        (None, None, Some(toning)) => format!("monochrome {toning}"),
        (None, None, None) => String::new(),
    }
}

fn readings(entry: &MeasuredEntry, estimate: &wire::Estimate) -> Result<Readings, Problem> {
    match (entry.total_ml, entry.by_ink.as_slice()) {
        (None, []) => Err(usage("nothing was measured; give the total or single inks".to_owned())),
        (Some(_), [_, ..]) => Err(usage(
            "both the total and single inks are given; give one of them, single inks if possible"
                .to_owned(),
        )),
        (Some(total), []) => Ok(Readings::Total(millilitres("all inks", total)?)),
        (None, inks) => {
            let known = |ink: &str| estimate.channels.iter().any(|channel| channel.name == ink);
            let reading = |(ink, ml): &(String, f64)| {
                if known(ink) {
                    Ok((ink.clone(), millilitres(ink, *ml)?))
                } else {
                    Err(usage(format!("ink set `{}` has no ink `{ink}`", estimate.ink_set)))
                }
            };
            Ok(Readings::ByInk(inks.iter().map(reading).collect::<Result<_, _>>()?))
        }
    }
}

fn day(text: &str) -> Result<CalendarDate, Problem> {
    text.trim().parse().map_err(|_| {
        usage(format!("printed_on is `{text}`; write a day such as 2026-11-28, from 1980 on"))
    })
}

fn side(millimetres: f64) -> Result<Length, Problem> {
    Length::from_millimetres(millimetres).map_err(Problem::internal)
}

fn millilitres(what: &str, ml: f64) -> Result<Volume, Problem> {
    Volume::from_millilitres(ml).map_err(|fault| usage(format!("{what}: {fault}")))
}

fn usage(detail: String) -> Problem {
    Problem::new(ProblemClass::Usage, detail)
}
