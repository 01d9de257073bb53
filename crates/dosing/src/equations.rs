use crate::channel_use::BOUNDS;
use crate::normal_matrix::NormalMatrix;
use crate::unknowns::{KINDS, Unknowns};
use crate::{CalibrationPrior, ChannelUse, MeasuredJob, Reading};

/// One reading as a linear equation in the [`Unknowns`].
#[derive(Clone, Debug)]
pub(crate) struct Equation {
    /// Place of the job among those of the fit.
    pub(crate) job: usize,
    /// The channel that was read; `None` for a total.
    pub(crate) channel: Option<usize>,
    /// Measured millilitres.
    pub(crate) measured: f64,
    /// Variance of rounding to the reading's resolution: evenly spread within a step.
    rounding: f64,
    /// Coefficients by channel, [`KINDS`] after each other.
    row: Vec<(usize, f64)>,
}

impl Equation {
    /// The millilitres that the unknowns give.
    pub(crate) fn predicted(&self, unknowns: &Unknowns) -> f64 {
        self.row.iter().map(|&(i, a)| a * unknowns.0[i]).sum()
    }

    /// Sum of the squares of the channels' predicted volumes: what relative scatter multiplies.
    fn squares(&self, unknowns: &Unknowns) -> f64 {
        let of_channel = |part: &[(usize, f64)]| -> f64 {
            part.iter().map(|&(i, a)| a * unknowns.0[i]).sum::<f64>().powi(2)
        };
        self.row.chunks(KINDS).map(of_channel).sum()
    }

    /// The variance of the reading about its prediction.
    pub(crate) fn variance(&self, unknowns: &Unknowns, scatter: f64) -> f64 {
        let relative = scatter * scatter * self.squares(unknowns);
        (relative + self.rounding).max(LEAST_VARIANCE)
    }

    /// The share of the variance that comes from relative scatter, and not from rounding.
    pub(crate) fn share_of_scatter(&self, unknowns: &Unknowns, scatter: f64) -> f64 {
        scatter * scatter * self.squares(unknowns) / self.variance(unknowns, scatter)
    }

    /// The departure of the reading from its prediction, in standard deviations.
    pub(crate) fn departure(&self, unknowns: &Unknowns, scatter: f64) -> f64 {
        (self.measured - self.predicted(unknowns)) / self.variance(unknowns, scatter).sqrt()
    }

    /// Whether the reading says anything of what is used: an ink that neither the picture nor
    /// the start takes can't be measured.
    fn tells(&self) -> bool {
        self.row.iter().any(|&(_, a)| a > 0.0)
    }
}

/// A tenth of a microlitre, squared, in ml²: keeps a reading of no ink from weighing infinitely.
/// Our choice, far below what any machine reports.
const LEAST_VARIANCE: f64 = 1e-8;

/// The equations of all readings, in the order of the jobs.
pub(crate) fn equations(prior: &CalibrationPrior, jobs: &[MeasuredJob]) -> Vec<Equation> {
    let of_job = |(place, job): (usize, &MeasuredJob)| of_job(prior, place, job);
    jobs.iter().enumerate().flat_map(of_job).filter(Equation::tells).collect()
}

fn of_job(prior: &CalibrationPrior, place: usize, job: &MeasuredJob) -> Vec<Equation> {
    let equation = |channel, measured: f64, row| Equation {
        job: place,
        channel,
        measured,
        rounding: job.resolution.to_millilitres().powi(2) / 12.0,
        row,
    };
    match &job.reading {
        Reading::Total(total) => {
            let row = (0..prior.channels.len()).flat_map(|c| row(prior, job, c)).collect();
            vec![equation(None, total.to_millilitres(), row)]
        }
        Reading::ByInk(inks) => inks
            .iter()
            .take(prior.channels.len())
            .enumerate()
            .filter_map(|(channel, volume)| {
                let measured = (*volume)?.to_millilitres();
                Some(equation(Some(channel), measured, row(prior, job, channel).to_vec()))
            })
            .collect(),
    }
}

/// What a channel's unknowns contribute to a reading of the job, in millilitres.
fn row(prior: &CalibrationPrior, job: &MeasuredJob, channel: usize) -> [(usize, f64); KINDS] {
    let used = job.uses.get(channel).copied().unwrap_or(ChannelUse::NONE);
    let full = (prior.channels[channel].lay_down * job.area).to_millilitres();
    let start = if job.includes_start_up { 1.0 } else { 0.0 };
    std::array::from_fn(|kind| {
        let coefficient = match used.pieces.get(kind) {
            Some(piece) => full * piece.to_fraction() / (BOUNDS[kind + 1] - BOUNDS[kind]),
            None => start,
        };
        (KINDS * channel + kind, coefficient)
    })
}

/// The readings and the prior as normal equations.
pub(crate) struct System<'a> {
    pub(crate) equations: &'a [Equation],
    pub(crate) precision: &'a NormalMatrix,
    pub(crate) centre: &'a [f64],
}

impl System<'_> {
    /// The unknowns that fit the readings best, each with its weight (an inverse variance).
    ///
    /// `measured` and `centre` may be shaken by a bootstrap.
    pub(crate) fn solved(&self, weights: &[f64], measured: &[f64], centre: &[f64]) -> Unknowns {
        let mut matrix = self.precision.clone();
        let mut right = self.precision.times(centre);
        for ((equation, weight), value) in self.equations.iter().zip(weights).zip(measured) {
            matrix.add_row(&equation.row, *weight);
            for &(i, a) in &equation.row {
                right[i] += weight * a * value;
            }
        }
        Unknowns(matrix.non_negative(&right))
    }

    /// The unknowns for the readings as they are.
    pub(crate) fn solved_as_measured(&self, weights: &[f64]) -> Unknowns {
        let measured: Vec<f64> = self.equations.iter().map(|e| e.measured).collect();
        self.solved(weights, &measured, self.centre)
    }

    /// How many unknowns the readings decide: the trace of the matrix that maps readings to
    /// their predictions (Hastie, Tibshirani and Friedman, "The elements of statistical
    /// learning", 2009, section 7.6).
    pub(crate) fn decided(&self, weights: &[f64]) -> f64 {
        let mut readings = NormalMatrix::new(self.centre.len());
        for (equation, weight) in self.equations.iter().zip(weights) {
            readings.add_row(&equation.row, *weight);
        }
        let size = self.centre.len();
        let mut all = self.precision.clone();
        for i in 0..size {
            for j in 0..size {
                all.add_at(i, j, readings.at(i, j));
            }
        }
        let inverse = all.inverse();
        (0..size)
            .map(|i| (0..size).map(|j| inverse.at(i, j) * readings.at(j, i)).sum::<f64>())
            .sum()
    }
}
