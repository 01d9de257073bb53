use crate::illuminant::Illuminant;
use crate::{BANDS, ColourError, Spectrum, Xyz};

/// Highest reflectance of a stand-in: papers with brightener may reflect as much.
const HIGHEST: f64 = units::Reflectance::MAX.to_unit();
/// Unknowns: 36 bands and one multiplier for each tristimulus value.
const UNKNOWNS: usize = BANDS + 3;
/// Newton's method needs 5 to 15 steps for printed colours; the bound ends what has no answer.
const MOST_STEPS: usize = 200;
/// No step moves a band's unknown further than this. Our choice: a fifth of the range in which the
/// hyperbolic tangent bends.
const LONGEST_STEP: f64 = 1.0;
/// Tristimulus values are met to this, far below what tables print.
const SMALLEST_MISS: f64 = 1e-9;

impl Spectrum {
    /// The smoothest spectrum with these tristimulus values under D50: a stand-in where nobody
    /// measured a spectrum.
    ///
    /// Among all spectra R = 1.3 (tanh z + 1) / 2 that add up to the values it has the least sum of
    /// squared differences of z between neighbouring bands. It says nothing about other lights.
    ///
    /// Source: Burns, "Numerical methods for smoothest reflectance reconstruction", Color Research
    /// & Application 45 (2020), the method with a hyperbolic tangent.
    ///
    /// # Errors
    ///
    /// `NotASurface` for values that no reflectance between 0 and 1.3 adds up to.
    pub fn smoothest(xyz: Xyz) -> Result<Self, ColourError> {
        let refused = || ColourError::NotASurface { x: xyz.x, y: xyz.y, z: xyz.z };
        let wanted = [xyz.x, xyz.y, xyz.z];
        if !wanted.iter().all(|value| *value > 0.0 && *value < 100.0 * HIGHEST) {
            return Err(refused());
        }
        let grey = (wanted[1] / (100.0 * HIGHEST)).clamp(1e-4, 1.0 - 1e-4);
        let mut unknowns = [0.0; UNKNOWNS];
        unknowns[..BANDS].fill((2.0 * grey - 1.0).atanh());
        for _ in 0..MOST_STEPS {
            let mut equations = Equations::at(&unknowns, wanted);
            if equations.largest_miss() < SMALLEST_MISS {
                return Self::new(reflectances(&unknowns)).map_err(|_| refused());
            }
            let step = equations.solve().ok_or_else(refused)?;
            let longest = step[..BANDS].iter().fold(0.0, |most: f64, s| most.max(s.abs()));
            let part = (LONGEST_STEP / longest).min(1.0);
            for (unknown, step) in unknowns.iter_mut().zip(step) {
                *unknown -= part * step;
            }
        }
        Err(refused())
    }
}

fn reflectances(unknowns: &[f64; UNKNOWNS]) -> [f64; BANDS] {
    std::array::from_fn(|band| 0.5 * HIGHEST * (unknowns[band].tanh() + 1.0))
}

/// Slopes of the Lagrangian and their own slopes.
struct Equations {
    matrix: [[f64; UNKNOWNS]; UNKNOWNS],
    values: [f64; UNKNOWNS],
}

impl Equations {
    fn at(unknowns: &[f64; UNKNOWNS], wanted: [f64; 3]) -> Self {
        let mut equations = Self { matrix: [[0.0; UNKNOWNS]; UNKNOWNS], values: [0.0; UNKNOWNS] };
        equations.add_smoothness(unknowns);
        equations.add_sums(unknowns, wanted);
        equations
    }

    /// The sum of squared differences between neighbouring bands.
    fn add_smoothness(&mut self, unknowns: &[f64; UNKNOWNS]) {
        for band in 1..BANDS {
            let difference = 2.0 * (unknowns[band] - unknowns[band - 1]);
            self.values[band] += difference;
            self.values[band - 1] -= difference;
            self.matrix[band][band] += 2.0;
            self.matrix[band - 1][band - 1] += 2.0;
            self.matrix[band][band - 1] -= 2.0;
            self.matrix[band - 1][band] -= 2.0;
        }
    }

    /// The three sums that are to be met.
    fn add_sums(&mut self, unknowns: &[f64; UNKNOWNS], wanted: [f64; 3]) {
        for (value, wanted) in self.values[BANDS..].iter_mut().zip(wanted) {
            *value -= wanted;
        }
        for (band, weights) in Illuminant::D50.weights().iter().enumerate() {
            let bent = unknowns[band].tanh();
            let slope = 0.5 * HIGHEST * (1.0 - bent * bent);
            let reflectance = 0.5 * HIGHEST * (bent + 1.0);
            for (axis, weight) in weights.iter().enumerate() {
                let multiplier = unknowns[BANDS + axis];
                self.values[band] += slope * weight * multiplier;
                self.matrix[band][band] -= 2.0 * bent * slope * weight * multiplier;
                self.values[BANDS + axis] += weight * reflectance;
                self.matrix[band][BANDS + axis] += slope * weight;
                self.matrix[BANDS + axis][band] += slope * weight;
            }
        }
    }

    fn largest_miss(&self) -> f64 {
        self.values.iter().fold(0.0, |most, value| most.max(value.abs()))
    }

    /// Gaussian elimination with pivots; `None` for a singular matrix.
    fn solve(&mut self) -> Option<[f64; UNKNOWNS]> {
        let Self { matrix, values } = self;
        for column in 0..UNKNOWNS {
            let size = |row: &usize| matrix[*row][column].abs();
            let pivot = (column..UNKNOWNS).max_by(|a, b| size(a).total_cmp(&size(b)))?;
            if size(&pivot).is_nan() || size(&pivot) < f64::MIN_POSITIVE {
                return None;
            }
            matrix.swap(column, pivot);
            values.swap(column, pivot);
            let (done, below) = matrix.split_at_mut(column + 1);
            let top = &done[column];
            for (offset, row) in below.iter_mut().enumerate() {
                let factor = row[column] / top[column];
                if factor != 0.0 {
                    for place in column..UNKNOWNS {
                        row[place] -= factor * top[place];
                    }
                    values[column + 1 + offset] -= factor * values[column];
                }
            }
        }
        let mut solution = [0.0; UNKNOWNS];
        for row in (0..UNKNOWNS).rev() {
            let known: f64 =
                (row + 1..UNKNOWNS).map(|place| matrix[row][place] * solution[place]).sum();
            solution[row] = (values[row] - known) / matrix[row][row];
        }
        Some(solution)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_grey_stands_in_for_itself() {
        let white = Illuminant::D50.white();
        let grey = Xyz { x: 0.4 * white.x, y: 0.4 * white.y, z: 0.4 * white.z };
        let spectrum = Spectrum::smoothest(grey).unwrap();
        assert!(spectrum.bands().iter().all(|band| (band - 0.4).abs() < 1e-9));
    }

    #[test]
    fn what_no_surface_reflects_is_refused_with_its_values() {
        for [x, y, z] in
            [[90.0, 5.0, 5.0], [1.0, 60.0, 1.0], [0.0, 0.0, 0.0], [50.0, f64::NAN, 9.0]]
        {
            let message = Spectrum::smoothest(Xyz { x, y, z }).unwrap_err().to_string();
            assert!(message.contains(&y.to_string()), "{message}");
        }
    }

    proptest! {
        #[test]
        fn tristimulus_values_are_met(
            bands in proptest::collection::vec(0.02..0.95_f64, 4), edges in (5_usize..12, 14_usize..20, 22_usize..30),
        ) {
            let level = |band: usize| {
                bands[usize::from(band >= edges.0) + usize::from(band >= edges.1) + usize::from(band >= edges.2)]
            };
            let measured = Illuminant::D50.tristimulus(&Spectrum::new(std::array::from_fn(level)).unwrap());
            let standing_in = Spectrum::smoothest(measured).unwrap();
            let met = Illuminant::D50.tristimulus(&standing_in);
            for (met, measured) in [(met.x, measured.x), (met.y, measured.y), (met.z, measured.z)] {
                prop_assert!((met - measured).abs() < 1e-6);
            }
        }
    }
}
