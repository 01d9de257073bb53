use std::sync::Arc;

use dosing::{ChannelUse, Direction, DriftSignal, DriftStep, MeasuredJob, Reading, watch};
use estimating::{PreparedSet, RenderingChoice, uses_of_stored};
use ledger::{FigurePlaces, JobFilter, Readings, RecordedJob, StoredCalibration};

use crate::{InkSetForm, MonthForm, Problem, StandingForm, Studio, StudioUser, WhatIf};

/// Where a report's JSON holds the figures of its first estimate.
const PLACES: FigurePlaces<'static> = FigurePlaces {
    area_m2: "$.files[0].estimates[0].area_m2",
    ink_ml: "$.files[0].estimates[0].total_ml",
};
/// Months that are told: two years.
const MOST_MONTHS: u32 = 24;

impl Studio {
    /// Uploads and ink of the latest months, newest first.
    ///
    /// # Errors
    ///
    /// What the ledger refuses.
    pub async fn months(self: &Arc<Self>, user: &StudioUser) -> Result<Vec<MonthForm>, Problem> {
        let months =
            self.with_ledger(user, |ledger| Ok(ledger.upload_months(PLACES, MOST_MONTHS)?)).await?;
        let form = |month: ledger::UploadMonth| MonthForm {
            month: month.month,
            uploads: month.uploads,
            counted: month.counted,
            refused: month.refused,
            answered: month.answered,
            area_m2: month.area.to_square_metres(),
            ink_ml: month.ink.to_millilitres(),
        };
        Ok(months.into_iter().map(form).collect())
    }

    /// What measured jobs have taught of each set and print mode that has any, and of the first
    /// mode of each set.
    ///
    /// # Errors
    ///
    /// What the ledger refuses.
    pub async fn standings(
        self: &Arc<Self>,
        _user: &StudioUser,
    ) -> Result<Vec<StandingForm>, Problem> {
        self.blocking(|studio| {
            let mut standings = Vec::new();
            for set in studio.ink_sets() {
                for (place, mode) in set.print_modes.iter().enumerate() {
                    let standing = studio.standing(set, mode)?;
                    if place == 0 || standing.calibration.is_some() || standing.jobs_since > 0 {
                        standings.push(standing);
                    }
                }
            }
            Ok(standings)
        })
        .await
    }

    fn standing(&self, set: &InkSetForm, mode: &str) -> Result<StandingForm, Problem> {
        let filter = JobFilter { ink_set: Some(&set.name), print_mode: Some(mode) };
        let (stored, jobs) = {
            let ledger = self.asking.lock();
            (ledger.active_calibration(&set.name, mode)?, ledger.jobs(filter)?)
        };
        let known: &[i64] = stored.as_ref().map_or(&[], |stored| &stored.job_numbers);
        let later: Vec<&RecordedJob> =
            jobs.iter().filter(|job| !known.contains(&job.number)).collect();
        let drift = match &stored {
            Some(stored) => self.drift(stored, &later)?,
            None => Vec::new(),
        };
        let errors = stored.as_ref().and_then(|stored| stored.leave_one_out.as_ref());
        Ok(StandingForm {
            ink_set: set.name.clone(),
            print_mode: mode.to_owned(),
            calibration: stored.as_ref().map(|stored| stored.label.to_string()),
            fitted_on: stored.as_ref().map(|stored| stored.fitted_on.to_string()),
            jobs: u64::try_from(known.len()).unwrap_or(u64::MAX),
            leave_one_out_mean: errors.map(|errors| errors.mean.to_fraction()),
            leave_one_out_worst: errors.map(|errors| errors.worst.to_fraction()),
            findings: stored.as_ref().map(|stored| stored.findings.clone()).unwrap_or_default(),
            jobs_since: u64::try_from(later.len()).unwrap_or(u64::MAX),
            drift,
        })
    }

    /// Sentences about drift since a calibration. Jobs whose reading holds more than the picture
    /// and its start, and those of another rendering or policy than the set's own, take no part;
    /// the command line's `drift` knows those, too.
    fn drift(
        &self,
        stored: &StoredCalibration,
        later: &[&RecordedJob],
    ) -> Result<Vec<String>, Problem> {
        let mut measured = Vec::new();
        for recorded in later.iter().filter(|recorded| is_usable(recorded)) {
            let job = &recorded.job;
            let what_if = WhatIf {
                substrate: Some(job.substrate.clone()),
                print_mode: Some(job.print_mode.clone()),
                ..WhatIf::default()
            };
            let census = self.asking.lock().census(&job.content_hash)?;
            let Some(census) = census else { continue };
            let (_, set) = self.catalogue.prepare(&job.ink_set, &what_if, &self.asking)?;
            let uses = uses_of_stored(&census, &set, RenderingChoice::Relative)?;
            measured.extend(measured_job(recorded, &set, uses));
        }
        let steps = watch(&stored.calibration, &measured);
        Ok(steps.iter().filter_map(|step| sentence(step, &stored.inks)).collect())
    }
}

fn is_usable(recorded: &RecordedJob) -> bool {
    let job = &recorded.job;
    !recorded.left_out
        && !job.includes.cleaning
        && !job.includes.margins
        && job.policy.is_empty()
        && job.rendering == "relative"
}

/// The job as the control chart takes it; none if the set lacks an ink that was read.
fn measured_job(
    recorded: &RecordedJob,
    set: &PreparedSet,
    uses: Vec<ChannelUse>,
) -> Option<MeasuredJob> {
    let job = &recorded.job;
    let inks = &set.set().inks;
    let reading = match &job.readings {
        Readings::Total(total) => Reading::Total(*total),
        Readings::ByInk(named) => {
            let is_known = |name: &String| inks.iter().any(|ink| ink.name == *name);
            if !named.iter().all(|(name, _)| is_known(name)) {
                return None;
            }
            let of = |name: &str| named.iter().find(|(ink, _)| ink == name).map(|(_, ml)| *ml);
            Reading::ByInk(inks.iter().map(|ink| of(&ink.name)).collect())
        }
    };
    Some(MeasuredJob {
        number: recorded.number,
        area: (job.width * job.height).times(job.copies.get()),
        reading,
        uses,
        resolution: job.resolution,
        includes_start_up: job.includes.start_up,
    })
}

/// What a signal says; nothing where there is none.
fn sentence(step: &DriftStep, inks: &[String]) -> Option<String> {
    let DriftSignal { direction, percent, readings } = step.signal?;
    let ink = step.channel.and_then(|channel| inks.get(channel));
    let ink = ink.map_or("the total", String::as_str);
    let way = match direction {
        Direction::More => "more",
        Direction::Less => "less",
    };
    let span = if readings == 1 { "1 reading".to_owned() } else { format!("{readings} readings") };
    Some(format!(
        "job {}: {ink} takes {way} than predicted, {percent:+.0} % over {span}. Print the \
         machine's nozzle check; if it is sound, fit a new calibration",
        step.job
    ))
}
