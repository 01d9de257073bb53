use std::num::NonZeroU32;
use std::sync::Arc;

use pricing::{ColourFit, JobOnSet, MonthlyJob, Tolerance};
use proof::{Holding, Thresholds, Verdict};

use crate::estimate::usual_estimate;
use crate::judging::PictureProof;
use crate::{CountedPicture, Estimate, EstimatingError, Job, PreparedSet, ordered_picture};

/// Differences in ΔE00 that are tried beside the one asked for, to show how much depends on it.
/// Our choice: half of a just visible difference, a visible one, twice and four times as much.
const DIFFERENCES_TRIED: [f64; 4] = [0.5, 1.0, 2.0, 4.0];

/// What counts as holding a job's colours.
#[derive(Clone, Debug)]
pub struct ColourDemand {
    thresholds: Vec<Thresholds>,
    asked: Tolerance,
    strictly: bool,
}

/// A job of a month with the estimates that it was made from, by ink set.
#[derive(Clone, Debug)]
pub struct EstimatedJob {
    /// What pricing needs of it.
    pub job: MonthlyJob,
    /// The estimates.
    pub estimates: Vec<Estimate>,
}

impl ColourDemand {
    /// `strictly` does not accept that a set holds all but an exception that can be named.
    #[must_use]
    pub fn new(asked: Thresholds, strictly: bool) -> Self {
        let (holds, all_but) = (asked.holds(), asked.holds_all_but());
        let tried = DIFFERENCES_TRIED
            .into_iter()
            .filter(|&difference| difference != asked.lost_above())
            .filter_map(|difference| Thresholds::new(difference, holds, all_but).ok());
        let mut thresholds: Vec<Thresholds> = tried.chain([asked]).collect();
        thresholds.sort_by(|one, other| one.lost_above().total_cmp(&other.lost_above()));
        Self { thresholds, asked: tolerance(&asked), strictly }
    }

    /// The tolerances that jobs are judged at, in rising order.
    #[must_use]
    pub fn tolerances(&self) -> Vec<Tolerance> {
        self.thresholds.iter().map(tolerance).collect()
    }

    /// The tolerance that was asked for.
    #[must_use]
    pub const fn asked(&self) -> Tolerance {
        self.asked
    }

    /// The rule in words.
    #[must_use]
    pub fn description(&self) -> String {
        let percent = |share: units::Share| 100.0 * share.to_fraction();
        let asked = self.thresholds.iter().find(|it| tolerance(it) == self.asked);
        let asked = asked.copied().unwrap_or_default();
        let exception = if self.strictly {
            "no exception is accepted".to_owned()
        } else {
            format!("or all but shadows and {} % of it", percent(asked.holds_all_but()))
        };
        format!(
            "a set holds a job's colours when at most {} % of the area differs by more than ΔE00 \
             {}, {exception}",
            percent(asked.holds()),
            asked.lost_above()
        )
    }

    fn fit(&self, verdict: &Verdict) -> ColourFit {
        let holds = match verdict.holding {
            Holding::Holds => true,
            Holding::HoldsAllBut => !self.strictly,
            Holding::Loses => false,
        };
        ColourFit { holds, loss: verdict.loss }
    }
}

fn tolerance(thresholds: &Thresholds) -> Tolerance {
    // A threshold is checked to be a number that is not negative.
    Tolerance::new(thresholds.lost_above()).unwrap_or(Tolerance::NONE)
}

/// Estimates a month's job on every set and judges its colours at every tolerance; `job` tells
/// the copies of a month.
///
/// # Errors
///
/// As [`estimate`](crate::estimate).
pub fn estimate_monthly(
    name: &str,
    picture: &CountedPicture,
    prepared: &[PreparedSet],
    job: &Job,
    orders: NonZeroU32,
    demand: &ColourDemand,
) -> Result<EstimatedJob, EstimatingError> {
    let on = prepared.iter().map(|set| on_set(name, picture, set, job, demand));
    let on: Vec<(JobOnSet, Estimate)> = on.collect::<Result<_, _>>()?;
    let (on, estimates) = on.into_iter().unzip();
    Ok(EstimatedJob { job: MonthlyJob { orders, on }, estimates })
}

/// The colours are proved once for all tolerances.
fn on_set(
    name: &str,
    picture: &CountedPicture,
    set: &PreparedSet,
    job: &Job,
    demand: &ColourDemand,
) -> Result<(JobOnSet, Estimate), EstimatingError> {
    let source = Arc::clone(&picture.colours(job.rendering)?.source);
    let wanted = source.wanted_of(picture.census.par_wide_entries())?;
    let proof = PictureProof::new(source, set, job.rendering)?;
    let colours = proof.prove(&wanted);
    let estimate = usual_estimate(picture, set, job)?;
    let fits = demand
        .thresholds
        .iter()
        .map(|thresholds| demand.fit(&proof.verdict(picture, &colours, *thresholds)));
    let on = JobOnSet { picture: ordered_picture(name, &estimate), fits: fits.collect() };
    Ok((on, estimate))
}
