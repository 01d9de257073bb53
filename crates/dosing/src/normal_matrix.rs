/// A symmetric matrix of normal equations, and their solution under *x* ≥ 0.
#[derive(Clone, Debug)]
pub(crate) struct NormalMatrix {
    size: usize,
    entries: Vec<f64>,
}

/// Exchanges of whole blocks before single exchanges take over; two or three are usual.
const BLOCK_EXCHANGES: usize = 8;
/// Slack of the conditions at the bound, relative to the right-hand side.
const SLACK: f64 = 1e-10;
/// What rounding leaves of an unknown that has met the bound.
const AT_THE_BOUND: f64 = 1e-14;

impl NormalMatrix {
    pub(crate) fn new(size: usize) -> Self {
        Self { size, entries: vec![0.0; size * size] }
    }

    pub(crate) fn at(&self, row: usize, column: usize) -> f64 {
        self.entries[row * self.size + column]
    }

    pub(crate) fn add_at(&mut self, row: usize, column: usize, value: f64) {
        self.entries[row * self.size + column] += value;
    }

    /// Adds the outer product of a sparse row with itself, weighted.
    pub(crate) fn add_row(&mut self, row: &[(usize, f64)], weight: f64) {
        for &(i, a) in row {
            for &(j, b) in row {
                self.add_at(i, j, weight * a * b);
            }
        }
    }

    /// The product with a vector.
    pub(crate) fn times(&self, vector: &[f64]) -> Vec<f64> {
        self.entries
            .chunks_exact(self.size)
            .map(|row| row.iter().zip(vector).map(|(a, x)| a * x).sum())
            .collect()
    }

    /// The solution for the chosen unknowns, the others held at zero.
    fn solved(&self, right: &[f64], chosen: &[usize]) -> Vec<f64> {
        let lower = self.factor(chosen);
        let mut part: Vec<f64> = chosen.iter().map(|&i| right[i]).collect();
        substitute(&lower, &mut part);
        let mut all = vec![0.0; self.size];
        for (&i, value) in chosen.iter().zip(part) {
            all[i] = value;
        }
        all
    }

    /// The lower factor of Cholesky of the chosen rows and columns.
    fn factor(&self, chosen: &[usize]) -> Vec<Vec<f64>> {
        let mut lower: Vec<Vec<f64>> = Vec::with_capacity(chosen.len());
        for (i, &row) in chosen.iter().enumerate() {
            let mut line: Vec<f64> = Vec::with_capacity(i + 1);
            for (j, &column) in chosen.iter().take(i).enumerate() {
                let known: f64 = line.iter().zip(&lower[j]).map(|(a, b)| a * b).sum();
                line.push((self.at(row, column) - known) / lower[j][j]);
            }
            let known: f64 = line.iter().map(|a| a * a).sum();
            // A prior on every unknown keeps this positive but for rounding.
            line.push((self.at(row, row) - known).max(f64::MIN_POSITIVE).sqrt());
            lower.push(line);
        }
        lower
    }

    /// The inverse; the matrix must be positive definite.
    pub(crate) fn inverse(&self) -> Self {
        let all: Vec<usize> = (0..self.size).collect();
        let lower = self.factor(&all);
        let mut inverse = Self::new(self.size);
        for column in 0..self.size {
            let mut unit = vec![0.0; self.size];
            unit[column] = 1.0;
            substitute(&lower, &mut unit);
            for (row, value) in unit.into_iter().enumerate() {
                inverse.add_at(row, column, value);
            }
        }
        inverse
    }

    /// Minimises ½ *x*ᵀ*Gx* − *rx* under *x* ≥ 0; the matrix must be positive definite.
    ///
    /// By exchanging blocks of unknowns at the bound (Portugal, Júdice and Vicente, Mathematics
    /// of Computation 63, 1994) and, should that cycle, one at a time (Lawson and Hanson,
    /// "Solving least squares problems", 1974, chapter 23).
    pub(crate) fn non_negative(&self, right: &[f64]) -> Vec<f64> {
        let slack = SLACK * right.iter().fold(1.0, |most: f64, r| most.max(r.abs()));
        let mut chosen: Vec<usize> = (0..self.size).collect();
        for _ in 0..BLOCK_EXCHANGES {
            let solution = self.solved(right, &chosen);
            let pull = self.pull(right, &solution);
            let wanted: Vec<usize> = (0..self.size)
                .filter(|&i| solution[i] > 0.0 || (solution[i] == 0.0 && pull[i] > slack))
                .collect();
            if wanted == chosen {
                return solution;
            }
            chosen = wanted;
        }
        self.one_at_a_time(right, slack)
    }

    /// How far each unknown wants to rise.
    fn pull(&self, right: &[f64], solution: &[f64]) -> Vec<f64> {
        right.iter().zip(self.times(solution)).map(|(r, g)| r - g).collect()
    }

    fn one_at_a_time(&self, right: &[f64], slack: f64) -> Vec<f64> {
        let mut solution = vec![0.0; self.size];
        let mut chosen: Vec<usize> = Vec::new();
        // Each round lowers the minimum; far fewer are needed than this.
        for _ in 0..10 * self.size {
            let pull = self.pull(right, &solution);
            let outside = (0..self.size).filter(|i| !chosen.contains(i) && pull[*i] > slack);
            let Some(next) = outside.max_by(|&i, &j| pull[i].total_cmp(&pull[j])) else { break };
            chosen.push(next);
            chosen.sort_unstable();
            self.step_to_feasible(right, &mut chosen, &mut solution);
        }
        solution
    }

    /// Goes towards the solution for the chosen unknowns, dropping those that meet the bound.
    fn step_to_feasible(&self, right: &[f64], chosen: &mut Vec<usize>, solution: &mut Vec<f64>) {
        while !chosen.is_empty() {
            let wanted = self.solved(right, chosen);
            let share = chosen
                .iter()
                .filter(|&&i| wanted[i] <= 0.0)
                .map(|&i| solution[i] / (solution[i] - wanted[i]).max(f64::MIN_POSITIVE))
                .fold(1.0, f64::min);
            if share >= 1.0 && chosen.iter().all(|&i| wanted[i] > 0.0) {
                *solution = wanted;
                return;
            }
            for &i in chosen.iter() {
                solution[i] += share * (wanted[i] - solution[i]);
            }
            chosen.retain(|&i| {
                let stuck = wanted[i] <= 0.0 && solution[i] <= AT_THE_BOUND;
                if stuck {
                    solution[i] = 0.0;
                }
                !stuck
            });
        }
    }
}

/// Solves with a lower factor and its transpose, in place.
fn substitute(lower: &[Vec<f64>], vector: &mut [f64]) {
    for i in 0..lower.len() {
        let known: f64 = lower[i][..i].iter().zip(vector.iter()).map(|(a, x)| a * x).sum();
        vector[i] = (vector[i] - known) / lower[i][i];
    }
    for i in (0..lower.len()).rev() {
        let known: f64 = (i + 1..lower.len()).map(|j| lower[j][i] * vector[j]).sum();
        vector[i] = (vector[i] - known) / lower[i][i];
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::deviates::Deviates;

    /// What ten random equations in six unknowns leave of the conditions of Karush, Kuhn and
    /// Tucker.
    const ROUNDING: f64 = 1e-8;

    fn random_problem(seed: u64) -> (NormalMatrix, Vec<f64>) {
        let mut deviates = Deviates::new(seed);
        let mut matrix = NormalMatrix::new(6);
        let mut right = vec![0.0; 6];
        for _ in 0..10 {
            let row: Vec<(usize, f64)> = (0..6).map(|i| (i, deviates.normal())).collect();
            matrix.add_row(&row, 1.0);
            let value = deviates.normal();
            for (i, a) in row {
                right[i] += a * value;
            }
        }
        (matrix, right)
    }

    fn assert_optimal(matrix: &NormalMatrix, right: &[f64], solution: &[f64]) {
        for (x, pull) in solution.iter().zip(matrix.pull(right, solution)) {
            assert!(*x >= 0.0 && pull < ROUNDING, "{solution:?}");
            assert!((x * pull).abs() < ROUNDING, "{x} still wants to move by {pull}");
        }
    }

    #[test]
    fn both_ways_of_exchanging_meet_the_conditions_of_the_minimum() {
        for seed in 0..200 {
            let (matrix, right) = random_problem(seed);
            assert_optimal(&matrix, &right, &matrix.non_negative(&right));
            assert_optimal(&matrix, &right, &matrix.one_at_a_time(&right, 1e-10));
        }
    }

    #[test]
    fn the_inverse_undoes_the_matrix() {
        let (matrix, right) = random_problem(3);
        let back = matrix.times(&matrix.inverse().times(&right));
        for (one, other) in back.iter().zip(&right) {
            assert!((one - other).abs() < ROUNDING);
        }
    }
}
