use crate::equations::System;
use crate::unknowns::Unknowns;

/// The best unknowns with the scatter of the readings about them, wild readings left out.
#[derive(Clone, Debug)]
pub(crate) struct RobustFit {
    pub(crate) unknowns: Unknowns,
    /// Relative standard deviation of a reading of one ink.
    pub(crate) scatter: f64,
    /// Degrees of freedom behind the scatter, the prior's included.
    pub(crate) freedom: f64,
    /// By equation: whether it is used. A wild one is not.
    pub(crate) used: Vec<bool>,
}

/// Relative scatter that is expected before anything is measured, and how many readings that
/// expectation is worth. Both our choice: machines' own counts repeat to a few percent (common
/// practice, no source).
const EXPECTED_SCATTER: f64 = 0.03;
const EXPECTATION_WORTH: f64 = 3.0;
/// Below this nobody measures; it keeps a handful of readings that happen to fit from pretending.
const LEAST_SCATTER: f64 = 0.003;

/// Bend of Huber's weights, for 95 % efficiency with normal errors: Huber, Annals of Mathematical
/// Statistics 35 (1964); Holland and Welsch, Communications in Statistics A 6 (1977).
const HUBER: f64 = 1.345;
/// Beyond this many deviations Tukey's weight is nought, for 95 % efficiency: Beaton and Tukey,
/// Technometrics 16 (1974); Holland and Welsch as above. Here it ends a reading's use.
const WILD: f64 = 4.685;
/// A median of absolute deviations to a standard deviation, for normal errors.
const DEVIATIONS_OF_MEDIAN: f64 = 1.4826;

/// Rounds of reweighting; the values settle to a thousandth in fewer.
const ROUNDS: usize = 12;

impl RobustFit {
    /// Fits in three steps: weights that fall with the distance find where most readings agree,
    /// a robust scale tells which are wild, and the others are fitted by least squares.
    pub(crate) fn of(system: &System<'_>) -> Self {
        let (rough, scale) = agreed(system);
        let mut fit = Self {
            used: system
                .equations
                .iter()
                .map(|e| e.departure(&rough, scale).abs() <= WILD)
                .collect(),
            unknowns: rough,
            scatter: scale,
            freedom: 0.0,
        };
        for _ in 0..ROUNDS {
            fit.refine(system);
        }
        fit
    }

    /// The weight of each reading by its variance; nought for a wild one.
    pub(crate) fn weights(&self, system: &System<'_>, scatter: f64) -> Vec<f64> {
        let pairs = system.equations.iter().zip(&self.used);
        pairs
            .map(|(e, used)| if *used { e.variance(&self.unknowns, scatter).recip() } else { 0.0 })
            .collect()
    }

    /// Least squares with the present scatter, then the scatter anew.
    fn refine(&mut self, system: &System<'_>) {
        let weights = self.weights(system, self.scatter);
        self.unknowns = system.solved_as_measured(&weights);
        let pairs = system.equations.iter().zip(&self.used).filter(|(_, used)| **used);
        let (mut count, mut telling, mut squares) = (0.0, 0.0, 0.0);
        for (equation, _) in pairs {
            // A reading in which rounding rules says nothing of the scatter.
            let share = equation.share_of_scatter(&self.unknowns, self.scatter);
            count += 1.0;
            telling += share;
            squares += share * equation.departure(&self.unknowns, self.scatter).powi(2);
        }
        let left = (1.0 - system.decided(&weights) / f64::max(count, 1.0)).max(0.0);
        self.freedom = EXPECTATION_WORTH + telling * left;
        let expected = EXPECTATION_WORTH * (EXPECTED_SCATTER / self.scatter).powi(2);
        let ratio = (expected + squares) / self.freedom;
        self.scatter = (self.scatter * ratio.sqrt()).clamp(LEAST_SCATTER, 1.0);
    }
}

/// Where most readings agree, and their robust relative scatter.
fn agreed(system: &System<'_>) -> (Unknowns, f64) {
    let mut scale = 10.0 * EXPECTED_SCATTER;
    let mut unknowns = Unknowns(system.centre.to_vec());
    for _ in 0..2 * ROUNDS {
        let weights: Vec<f64> = system
            .equations
            .iter()
            .map(|e| {
                let departure = e.departure(&unknowns, scale).abs();
                (HUBER / departure.max(HUBER)) / e.variance(&unknowns, scale)
            })
            .collect();
        unknowns = system.solved_as_measured(&weights);
        let inflation = shrinkage(system, &weights);
        scale =
            (robust_scale(system, &unknowns, scale) / inflation).clamp(0.5 * EXPECTED_SCATTER, 0.3);
    }
    (unknowns, scale)
}

/// Residuals are smaller than errors, because the unknowns bend towards the readings.
fn shrinkage(system: &System<'_>, weights: &[f64]) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "readings number far fewer than 2^52")]
    let count = system.equations.len().max(1) as f64;
    // Not below a half: with fewer readings than that the prior's expectation rules.
    (1.0 - system.decided(weights) / count).max(0.25).sqrt()
}

fn robust_scale(system: &System<'_>, unknowns: &Unknowns, scale: f64) -> f64 {
    let mut departures: Vec<f64> =
        system.equations.iter().map(|e| e.departure(unknowns, scale).abs()).collect();
    departures.sort_by(f64::total_cmp);
    let median = departures.get(departures.len() / 2).copied().unwrap_or(0.0);
    DEVIATIONS_OF_MEDIAN * median * scale
}
