use units::Share;

use crate::MeasuredJob;
use crate::equations::System;
use crate::robust_fit::RobustFit;

/// How far the prediction of a job's total from the other jobs is off, relative to its reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeaveOneOut {
    /// Mean of the absolute errors.
    pub mean: Share,
    /// The largest of them.
    pub worst: Share,
    /// The job with it.
    pub worst_job: i64,
}

/// With fewer jobs the others say too little.
const FEWEST_JOBS: usize = 3;

/// Predicts each job from a fit to the others. Wild readings take no part.
pub(crate) fn leave_one_out(
    system: &System<'_>,
    robust: &RobustFit,
    jobs: &[MeasuredJob],
) -> Option<LeaveOneOut> {
    let errors: Vec<(f64, i64)> = jobs
        .iter()
        .enumerate()
        .filter_map(|(place, job)| Some((error(system, robust, place)?, job.number)))
        .collect();
    if errors.len() < FEWEST_JOBS {
        return None;
    }
    #[expect(clippy::cast_precision_loss, reason = "jobs number far fewer than 2^52")]
    let mean = errors.iter().map(|(error, _)| error).sum::<f64>() / errors.len() as f64;
    let (worst, worst_job) = errors.into_iter().max_by(|one, other| one.0.total_cmp(&other.0))?;
    let share = |error: f64| Share::from_fraction(error.min(1.0)).unwrap_or(Share::MAX);
    Some(LeaveOneOut { mean: share(mean), worst: share(worst), worst_job })
}

/// The relative error for a job's readings together; `None` when none of them is used.
fn error(system: &System<'_>, robust: &RobustFit, place: usize) -> Option<f64> {
    let mut weights = robust.weights(system, robust.scatter);
    let of_job = || {
        let pairs = system.equations.iter().zip(&robust.used);
        pairs
            .filter(|(equation, used)| **used && equation.job == place)
            .map(|(equation, _)| equation)
    };
    let measured: f64 = of_job().map(|equation| equation.measured).sum();
    for (weight, equation) in weights.iter_mut().zip(system.equations) {
        if equation.job == place {
            *weight = 0.0;
        }
    }
    let unknowns = system.solved_as_measured(&weights);
    let predicted: f64 = of_job().map(|equation| equation.predicted(&unknowns)).sum();
    (measured > 0.0).then(|| (predicted / measured - 1.0).abs())
}
