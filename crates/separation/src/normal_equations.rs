use crate::MAX_CHANNELS;
use crate::recipe::Recipe;

/// A sum of squares, linearised at one recipe: JᵀJ, Jᵀr and rᵀr.
pub(crate) struct NormalEquations {
    matrix: [Recipe; MAX_CHANNELS],
    gradient: Recipe,
    size: usize,
    /// The sum of the squared residuals.
    pub(crate) cost: f64,
}

impl NormalEquations {
    /// Nothing yet, for so many unknowns.
    pub(crate) const fn new(size: usize) -> Self {
        Self {
            matrix: [[0.0; MAX_CHANNELS]; MAX_CHANNELS],
            gradient: [0.0; MAX_CHANNELS],
            size,
            cost: 0.0,
        }
    }

    /// Adds a residual with its slopes.
    pub(crate) fn add(&mut self, residual: f64, slopes: &Recipe) {
        self.cost += residual * residual;
        for one in 0..self.size {
            self.gradient[one] += slopes[one] * residual;
            for (sum, slope) in self.matrix[one].iter_mut().zip(slopes) {
                *sum += slopes[one] * slope;
            }
        }
    }

    /// Adds a residual that depends on one unknown alone.
    pub(crate) fn add_single(&mut self, residual: f64, unknown: usize, slope: f64) {
        self.cost += residual * residual;
        self.gradient[unknown] += slope * residual;
        self.matrix[unknown][unknown] += slope * slope;
    }

    /// The damped step. Unknowns at a bound whose slope points outwards are held.
    pub(crate) fn step(&self, at: &Recipe, highest: &Recipe, damping: f64) -> Recipe {
        let mut matrix = self.matrix;
        let mut right = self.gradient.map(|slope| -slope);
        for unknown in 0..self.size {
            let outwards = self.gradient[unknown];
            let held = (at[unknown] <= 0.0 && outwards > 0.0)
                || (at[unknown] >= highest[unknown] && outwards < 0.0);
            if held {
                matrix[unknown] = [0.0; MAX_CHANNELS];
                for row in &mut matrix {
                    row[unknown] = 0.0;
                }
                matrix[unknown][unknown] = 1.0;
                right[unknown] = 0.0;
            } else {
                matrix[unknown][unknown] += damping;
            }
        }
        solve_positive_definite(&mut matrix, right, self.size)
    }
}

/// Solves by Cholesky's factors; `matrix` is overwritten. Damping keeps it positive definite.
#[expect(clippy::needless_range_loop, reason = "indices of factors read as in the textbook")]
fn solve_positive_definite(
    matrix: &mut [Recipe; MAX_CHANNELS],
    mut right: Recipe,
    size: usize,
) -> Recipe {
    for column in 0..size {
        for row in column..size {
            let mut sum = matrix[row][column];
            for k in 0..column {
                sum -= matrix[row][k] * matrix[column][k];
            }
            matrix[row][column] =
                if row == column { sum.max(1e-12).sqrt() } else { sum / matrix[column][column] };
        }
    }
    for row in 0..size {
        for k in 0..row {
            right[row] -= matrix[row][k] * right[k];
        }
        right[row] /= matrix[row][row];
    }
    for row in (0..size).rev() {
        for k in row + 1..size {
            right[row] -= matrix[k][row] * right[k];
        }
        right[row] /= matrix[row][row];
    }
    right
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn recipe(values: &[f64]) -> Recipe {
        let mut recipe = [0.0; MAX_CHANNELS];
        recipe[..values.len()].copy_from_slice(values);
        recipe
    }

    #[test]
    fn equations_are_solved() {
        let mut matrix = [[0.0; MAX_CHANNELS]; MAX_CHANNELS];
        matrix[0] = recipe(&[4.0, 2.0, 1.0]);
        matrix[1] = recipe(&[2.0, 5.0, 3.0]);
        matrix[2] = recipe(&[1.0, 3.0, 6.0]);
        let kept = matrix;
        let right = recipe(&[1.0, -2.0, 3.0]);
        let found = solve_positive_definite(&mut matrix, right, 3);
        for row in 0..3 {
            let product: f64 = (0..3).map(|column| kept[row][column] * found[column]).sum();
            assert_abs_diff_eq!(product, right[row], epsilon = 1e-12);
        }
    }

    #[test]
    fn an_undamped_step_solves_a_linear_problem_and_holds_what_would_leave_the_bounds() {
        let mut equations = NormalEquations::new(2);
        equations.add(-1.0, &recipe(&[2.0, 0.0]));
        equations.add(3.0, &recipe(&[0.0, 1.0]));
        let step = equations.step(&recipe(&[0.0, 0.0]), &recipe(&[1.0, 1.0]), 0.0);
        assert_abs_diff_eq!(step[0], 0.5, epsilon = 1e-12);
        assert_abs_diff_eq!(step[1], 0.0, epsilon = 1e-12);
    }
}
