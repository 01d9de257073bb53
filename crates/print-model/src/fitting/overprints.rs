use colour::BANDS;
use inkset::RampLaw;

use crate::cells::blend;
use crate::mixing_scale::{Bend, MixingScale};

use super::fit_error::FitError;
use super::levels::{nodes, solids};
use super::measured_set::SetBuilder;
use super::ramps::Ramp;
use super::sheet::{Combinations, LEAST_REFLECTANCE};

/// An overprint of solids that the chart lacks, as its mixtures show it.
#[derive(Clone, Debug)]
pub(crate) struct Estimated {
    pub(crate) amounts: Vec<f64>,
    pub(crate) values: [f64; BANDS],
}

/// Weight of the prediction from the single solids against the mixtures: squared ratio of a
/// mixture's error to the prediction's. Our choice: readings and ramps are off by 0.004 in R^(1/2),
/// overprints predicted by adding Kubelka–Munk ratios by about 0.05.
const PREDICTION_WEIGHT: f64 = 0.006;
/// Evidence that an overprint must have from mixtures: as if one patch were more than half of it.
const LEAST_EVIDENCE: f64 = 0.3;

/// Estimates the overprints that a chart lacks from its mixtures, by least squares: on the scale of
/// mixtures they are linear in their overprints. Errors count as those of R^(1/2).
///
/// `predicted` gives the places of the overprints on that scale as the model would predict them. Patches that
/// `counts` leaves out don't take part. Overprints of which the mixtures say little are not
/// returned.
pub(crate) fn estimated(
    builder: &SetBuilder<'_>,
    law: RampLaw,
    predicted: &[[f64; BANDS]],
    counts: &dyn Fn(usize) -> bool,
) -> Result<Vec<Estimated>, FitError> {
    let solids = solids_by_bits(builder.inks.len());
    let is_missing = |amounts: &Vec<f64>| builder.combinations.get(amounts).is_none();
    let missing: Vec<usize> =
        (0..solids.len()).filter(|&index| is_missing(&solids[index])).collect();
    if missing.is_empty() {
        return Ok(Vec::new());
    }
    let mut equations = Equations::new(missing.len());
    let tones = Tones::new(builder, law)?;
    let scale = builder.scale(law)?;
    equations.weigh_predictions(&scale, &missing, predicted);
    for (amounts, combination) in builder.combinations.iter() {
        let is_mixture =
            !Combinations::is_ramp(&amounts) && amounts.iter().any(|a| a.fract() != 0.0);
        if !is_mixture || !counts(combination.patch) {
            continue;
        }
        let shares = tones.shares(&amounts);
        let read = scale.places(&combination.values);
        let mixed: [f64; BANDS] = std::array::from_fn(|band| {
            shares
                .iter()
                .zip(predicted)
                .map(|(share, overprint)| share[band] * overprint[band])
                .sum()
        });
        let weights = root_slopes(&scale, &read);
        let rest = std::array::from_fn(|band| weights[band] * (read[band] - mixed[band]));
        let weighed = |share: [f64; BANDS]| std::array::from_fn(|band| weights[band] * share[band]);
        let own: Vec<[f64; BANDS]> = missing.iter().map(|&index| weighed(shares[index])).collect();
        equations.add(&own, &rest);
        equations.add_evidence(missing.iter().map(|&index| shares[index]));
    }
    let corrections = equations.solved();
    let estimate = |(place, &index): (usize, &usize)| {
        let is_told = equations.evidence[place] >= LEAST_EVIDENCE;
        is_told.then(|| Estimated {
            amounts: solids[index].clone(),
            values: std::array::from_fn(|band| {
                let estimate = predicted[index][band] + corrections[place][band];
                // No overprint is lighter than paper, nor blacker than the darkest.
                let paper = scale.reflectance(band, predicted[0][band]);
                let darkest = builder.darkest().min(paper);
                scale.reflectance(band, estimate).clamp(darkest, paper)
            }),
        })
    };
    Ok(missing.iter().enumerate().filter_map(estimate).collect())
}

/// The combinations of solids; bit f of the index says whether ink f is present.
fn solids_by_bits(inks: usize) -> Vec<Vec<f64>> {
    let mut all = nodes(&solids(inks));
    all.sort_by_key(|amounts| {
        amounts
            .iter()
            .enumerate()
            .filter(|(_, a)| **a > 0.0)
            .map(|(f, _)| 1_usize << f)
            .sum::<usize>()
    });
    all
}

/// Slope of R^(1/2) over the place of each band: what turns errors on the scale of mixtures into
/// errors on one that eyes and instruments resolve evenly.
fn root_slopes(scale: &MixingScale, places: &[f64; BANDS]) -> [f64; BANDS] {
    std::array::from_fn(|band| {
        let r = scale.reflectance(band, places[band]).max(LEAST_REFLECTANCE);
        (0.5 * scale.slope(band, places[band], r) / r.sqrt()).abs()
    })
}

/// The part of the way from paper to each ink's solid on the scale of mixtures, band by band.
struct Tones(Vec<Tone>);

struct Tone {
    ends: super::ramps::Ends,
    ramp: Ramp,
    bend: Option<Bend>,
}

impl Tones {
    fn new(builder: &SetBuilder<'_>, law: RampLaw) -> Result<Self, FitError> {
        let scale = builder.scale(law)?;
        (0..builder.inks.len())
            .map(|ink| {
                let ends = builder.ends(law, ink)?;
                let ramp = Ramp::new(&ends, &builder.combinations.ramp(ink));
                let [paper, solid] = [builder.paper()?, builder.solid(ink)?];
                let bend =
                    scale.bends_amounts().then(|| Bend::new(scale, &paper.values, &solid.values));
                Ok(Tone { ends, ramp, bend })
            })
            .collect::<Result<_, _>>()
            .map(Self)
    }

    /// Demichel's shares of the overprints in each band.
    fn shares(&self, amounts: &[f64]) -> Vec<[f64; BANDS]> {
        let mut shares = vec![[1.0; BANDS]];
        for (Tone { ends, ramp, bend }, amount) in self.0.iter().zip(amounts) {
            let amounts = ends.tone(&ramp.effective(*amount));
            let tone = match bend {
                None => amounts,
                Some(bend) => std::array::from_fn(|band| bend.at(band, amounts[band]).0),
            };
            let with: Vec<[f64; BANDS]> =
                shares.iter().map(|share| blend(&[0.0; BANDS], share, &tone)).collect();
            for (share, with) in shares.iter_mut().zip(&with) {
                for (share, with) in share.iter_mut().zip(with) {
                    *share -= with;
                }
            }
            shares.extend(with);
        }
        shares
    }
}

/// Normal equations of the corrections, one set for each band.
struct Equations {
    unknowns: usize,
    /// By band: the lower triangle, row by row, then the right-hand sides.
    matrices: Vec<Vec<f64>>,
    sides: Vec<Vec<f64>>,
    /// Sum of each unknown's squared shares in all patches, the mean of the bands.
    evidence: Vec<f64>,
}

impl Equations {
    fn new(unknowns: usize) -> Self {
        Self {
            unknowns,
            matrices: vec![vec![0.0; unknowns * unknowns]; BANDS],
            sides: vec![vec![0.0; unknowns]; BANDS],
            evidence: vec![0.0; unknowns],
        }
    }

    fn add(&mut self, shares: &[[f64; BANDS]], rest: &[f64; BANDS]) {
        for band in 0..BANDS {
            for row in 0..self.unknowns {
                let share = shares[row][band];
                if share == 0.0 {
                    continue;
                }
                self.sides[band][row] += share * rest[band];
                let below = &mut self.matrices[band][row * self.unknowns..][..=row];
                for (element, other) in below.iter_mut().zip(shares) {
                    *element += share * other[band];
                }
            }
        }
    }

    /// Holds each unknown to what the model predicts.
    fn weigh_predictions(
        &mut self,
        scale: &MixingScale,
        missing: &[usize],
        predicted: &[[f64; BANDS]],
    ) {
        for (place, &index) in missing.iter().enumerate() {
            let slopes = root_slopes(scale, &predicted[index]);
            for (matrix, slope) in self.matrices.iter_mut().zip(slopes) {
                matrix[place * self.unknowns + place] += PREDICTION_WEIGHT * slope * slope;
            }
        }
    }

    fn add_evidence(&mut self, shares: impl Iterator<Item = [f64; BANDS]>) {
        #[expect(clippy::cast_precision_loss, reason = "there are 36 bands")]
        let bands = BANDS as f64;
        for (evidence, share) in self.evidence.iter_mut().zip(shares) {
            *evidence += share.iter().map(|share| share * share).sum::<f64>() / bands;
        }
    }

    /// The corrections, by unknown and band.
    fn solved(&self) -> Vec<[f64; BANDS]> {
        let mut corrections = vec![[0.0; BANDS]; self.unknowns];
        for band in 0..BANDS {
            let solution = cholesky(self.matrices[band].clone(), &self.sides[band]);
            for (correction, value) in corrections.iter_mut().zip(solution) {
                correction[band] = value;
            }
        }
        corrections
    }
}

/// Solves a positive definite system by Cholesky's method; the matrix is a lower triangle.
fn cholesky(mut matrix: Vec<f64>, side: &[f64]) -> Vec<f64> {
    let count = side.len();
    for row in 0..count {
        for column in 0..=row {
            let done: f64 =
                (0..column).map(|k| matrix[row * count + k] * matrix[column * count + k]).sum();
            let rest = matrix[row * count + column] - done;
            matrix[row * count + column] = if row == column {
                rest.max(f64::MIN_POSITIVE).sqrt()
            } else {
                rest / matrix[column * count + column]
            };
        }
    }
    let mut solution = side.to_vec();
    for row in 0..count {
        let done: f64 = (0..row).map(|k| matrix[row * count + k] * solution[k]).sum();
        solution[row] = (solution[row] - done) / matrix[row * count + row];
    }
    for row in (0..count).rev() {
        let done: f64 = (row + 1..count).map(|k| matrix[k * count + row] * solution[k]).sum();
        solution[row] = (solution[row] - done) / matrix[row * count + row];
    }
    solution
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn a_small_system_is_solved() {
        // 4 x + 2 y = 2, 2 x + 5 y = 9 has x = −0.5, y = 2.
        let solution = cholesky(vec![4.0, 0.0, 2.0, 5.0], &[2.0, 9.0]);
        assert_abs_diff_eq!(solution[0], -0.5, epsilon = 1e-12);
        assert_abs_diff_eq!(solution[1], 2.0, epsilon = 1e-12);
    }
}
