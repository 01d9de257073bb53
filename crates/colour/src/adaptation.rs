use crate::Xyz;

/// Cone responses of the Bradford adaptation (ICC.1:2022, annex E).
const TO_CONES: [[f64; 3]; 3] =
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]];
/// The inverse of [`TO_CONES`], to eight digits.
const FROM_CONES: [[f64; 3]; 3] = [
    [0.986_992_9, -0.147_054_3, 0.159_962_7],
    [0.432_305_3, 0.518_360_3, 0.049_291_2],
    [-0.008_528_7, 0.040_042_8, 0.968_486_7],
];

impl Xyz {
    /// The colour that looks under one white as this colour looks under another: the linear
    /// Bradford adaptation (ICC.1:2022, annex E), complete.
    #[must_use]
    pub fn adapted(self, from: Self, to: Self) -> Self {
        let [colour, from, to] = [self, from, to].map(|xyz| product(&TO_CONES, xyz.to_array()));
        let scaled = std::array::from_fn(|cone| colour[cone] / from[cone] * to[cone]);
        let [x, y, z] = product(&FROM_CONES, scaled);
        Self { x, y, z }
    }

    const fn to_array(self) -> [f64; 3] {
        [self.x, self.y, self.z]
    }
}

fn product(matrix: &[[f64; 3]; 3], vector: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| row[0] * vector[0] + row[1] * vector[1] + row[2] * vector[2])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Illuminant;
    use approx::assert_abs_diff_eq;

    /// The matrix in ICC.1:2022, annex E, from D65 to D50 (as in every sRGB profile of version 4),
    /// with the columns that meet X, Y and Z.
    const D65_TO_D50: [[f64; 3]; 3] = [
        [1.047_882, 0.022_919, -0.050_201],
        [0.029_587, 0.990_479, -0.017_059],
        [-0.009_232, 0.015_076, 0.751_678],
    ];
    /// The published matrix starts from whites with four decimals.
    const WHITES_ROUNDED: f64 = 2e-4;

    #[test]
    fn the_published_matrix_from_d65_to_d50_agrees() {
        let d65 = Xyz { x: 95.045_6, y: 100.0, z: 108.905_8 };
        for (column, unit) in
            [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]].into_iter().enumerate()
        {
            let [x, y, z] = unit;
            let found = Xyz { x, y, z }.adapted(d65, Xyz::PCS_WHITE).to_array();
            for (row, value) in found.into_iter().enumerate() {
                assert_abs_diff_eq!(value, D65_TO_D50[row][column], epsilon = WHITES_ROUNDED);
            }
        }
    }

    #[test]
    fn a_white_becomes_the_other_white_and_comes_back() {
        let (a, d50) = (Illuminant::A.white(), Illuminant::D50.white());
        let there = a.adapted(a, d50);
        for (found, wanted) in there.to_array().into_iter().zip(d50.to_array()) {
            assert_abs_diff_eq!(found, wanted, epsilon = 1e-4);
        }
        let colour = Xyz { x: 30.0, y: 20.0, z: 5.0 };
        let back = colour.adapted(a, d50).adapted(d50, a);
        for (found, wanted) in back.to_array().into_iter().zip(colour.to_array()) {
            assert_abs_diff_eq!(found, wanted, epsilon = 1e-4);
        }
    }
}
