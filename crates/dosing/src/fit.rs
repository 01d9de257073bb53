use units::{Area, Share, Volume};

use crate::deviates::Deviates;
use crate::equations::{Equation, System, equations};
use crate::findings::findings;
use crate::leave_one_out::{LeaveOneOut, leave_one_out};
use crate::robust_fit::RobustFit;
use crate::unknowns::Unknowns;
use crate::{Calibration, CalibrationPrior, DosingError, Draw, Finding, MeasuredJob, Reading};

/// A calibration with what its making showed.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The calibration.
    pub calibration: Calibration,
    /// What could not be told or was left out.
    pub findings: Vec<Finding>,
    /// How well each job is predicted from the others; `None` with fewer than three jobs.
    pub leave_one_out: Option<LeaveOneOut>,
}

/// How the bootstrap is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bootstrap {
    /// Number of draws.
    pub draws: usize,
    /// Where the random numbers begin: the same seed gives the same ranges.
    pub seed: u64,
}

impl Default for Bootstrap {
    /// 500 draws: the 5th and 95th percentile of so many are themselves sure to about one
    /// percent of probability. Our choice, as is the seed.
    fn default() -> Self {
        Self { draws: 500, seed: 1 }
    }
}

/// Fits a device to measured jobs.
///
/// Regularised least squares without negative values: the nominal values of the prior, with its
/// widths, count like further readings. A reading weighs by its relative scatter, found from
/// the readings themselves, and by its rounding. Wild readings are left out and named.
///
/// Draws come from a bootstrap in which readings *and* nominal values are shaken by as much as
/// they may be off, and everything is fitted anew (Efron and Tibshirani, "An introduction to the
/// bootstrap", 1993, chapter 6; shaking the prior as well: Bardsley and others, SIAM Journal on
/// Scientific Computing 36, 2014). With too few jobs the draws are as wide as the prior.
///
/// # Errors
///
/// `NoJobs` without any job; `ChannelMismatch` when a job's uses or readings don't have the
/// prior's channels.
pub fn fit(
    prior: &CalibrationPrior,
    jobs: &[MeasuredJob],
    bootstrap: Bootstrap,
) -> Result<Fit, DosingError> {
    check(prior, jobs)?;
    let equations = equations(prior, jobs);
    let (precision, centre) = (prior.precision(), prior.centre());
    let system = System { equations: &equations, precision: &precision, centre: &centre.0 };
    let robust = RobustFit::of(&system);
    let draws = draws(prior, &system, &robust, bootstrap);
    let findings = findings(prior, jobs, &system, &robust, &draws);
    let calibration = Calibration {
        channels: robust.unknowns.channels(prior),
        scatter: share(robust.scatter),
        draws: draws
            .iter()
            .map(|(unknowns, scatter)| Draw {
                channels: unknowns.channels(prior),
                scatter: share(*scatter),
            })
            .collect(),
        jobs: jobs_used(&equations, &robust, jobs.len()),
    };
    let leave_one_out = leave_one_out(&system, &robust, jobs);
    Ok(Fit { calibration, findings, leave_one_out })
}

/// The total area of the smallest and the largest job.
pub(crate) fn area_span(jobs: &[MeasuredJob]) -> Option<(Area, Area)> {
    let areas = jobs.iter().filter(|job| job.includes_start_up).map(|job| job.area);
    areas.fold(None, |span, area| match span {
        None => Some((area, area)),
        Some((low, high)) => {
            Some((if area < low { area } else { low }, if area > high { area } else { high }))
        }
    })
}

/// The millilitres of a reading as a quantity.
pub(crate) fn volume(millilitres: f64) -> Volume {
    Volume::from_millilitres(millilitres.max(0.0)).unwrap_or(Volume::ZERO)
}

fn share(fraction: f64) -> Share {
    Share::from_fraction(fraction.clamp(0.0, 1.0)).unwrap_or(Share::MIN)
}

fn check(prior: &CalibrationPrior, jobs: &[MeasuredJob]) -> Result<(), DosingError> {
    if jobs.is_empty() {
        return Err(DosingError::NoJobs);
    }
    let channels = prior.channels.len();
    for job in jobs {
        let read = match &job.reading {
            Reading::ByInk(inks) => inks.len(),
            Reading::Total(_) => channels,
        };
        if job.uses.len() != channels || read != channels {
            return Err(DosingError::ChannelMismatch { job: job.number, channels });
        }
    }
    Ok(())
}

/// Jobs of which at least one reading was used.
fn jobs_used(equations: &[Equation], robust: &RobustFit, jobs: usize) -> u32 {
    let used = |job: usize| {
        equations.iter().zip(&robust.used).any(|(equation, used)| *used && equation.job == job)
    };
    (0..jobs).map(|job| u32::from(used(job))).sum()
}

/// Unknowns that readings and prior allow, each with a scatter that the readings allow.
fn draws(
    prior: &CalibrationPrior,
    system: &System<'_>,
    robust: &RobustFit,
    bootstrap: Bootstrap,
) -> Vec<(Unknowns, f64)> {
    let mut deviates = Deviates::new(bootstrap.seed);
    (0..bootstrap.draws)
        .map(|_| {
            let scatter = robust.scatter / deviates.mean_square(robust.freedom).sqrt();
            let departure = prior.departure(|| deviates.normal());
            let centre: Vec<f64> =
                system.centre.iter().zip(departure).map(|(centre, by)| centre + by).collect();
            let weights = robust.weights(system, scatter);
            let measured: Vec<f64> = system
                .equations
                .iter()
                .map(|equation| {
                    let deviation = equation.variance(&robust.unknowns, scatter).sqrt();
                    equation.measured + deviation * deviates.normal()
                })
                .collect();
            (system.solved(&weights, &measured, &centre), scatter)
        })
        .collect()
}
