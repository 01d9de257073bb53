use crate::{Lab, cube_root};

/// CIE tristimulus values; Y of the perfect reflecting diffuser is 100.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Xyz {
    /// X, about 0 to 110.
    pub x: f64,
    /// Y, 0 to 100 for non-fluorescent surfaces.
    pub y: f64,
    /// Z, about 0 to 110.
    pub z: f64,
}

/// (6/29)³: below it the cube root gives way to a straight line (CIE 15, ISO/CIE 11664-4).
const LINEAR_BELOW: f64 = 216.0 / 24389.0;
/// (29/3)³ / 116: slope of that line.
const SLOPE: f64 = 24389.0 / 27.0 / 116.0;
/// 6/29: f(t) where the line begins, the cube root of [`LINEAR_BELOW`].
const COMPRESSED_LINEAR_BELOW: f64 = 6.0 / 29.0;
/// 16/116: where the line meets zero.
const OFFSET: f64 = 16.0 / 116.0;

impl Xyz {
    /// The white of the ICC profile connection space (ICC.1:2022, table 14), times 100.
    pub const PCS_WHITE: Self = Self { x: 96.42, y: 100.0, z: 82.49 };

    /// CIELAB relative to a white: the paper gives media-relative colour, the perfect diffuser
    /// absolute colour. Source: CIE 15, ISO/CIE 11664-4.
    #[must_use]
    pub fn to_lab(self, white: Self) -> Lab {
        let fx = compress(self.x / white.x);
        let fy = compress(self.y / white.y);
        let fz = compress(self.z / white.z);
        Lab { l: 116.0 * fy - 16.0, a: 500.0 * (fx - fy), b: 200.0 * (fy - fz) }
    }

    /// The slopes of [`Xyz::to_lab`] over X, Y and Z; rows are L*, a*, b*.
    #[must_use]
    pub fn lab_slopes(self, white: Self) -> [[f64; 3]; 3] {
        let x = compress_slope(self.x / white.x) / white.x;
        let y = compress_slope(self.y / white.y) / white.y;
        let z = compress_slope(self.z / white.z) / white.z;
        [[0.0, 116.0 * y, 0.0], [500.0 * x, -500.0 * y, 0.0], [0.0, 200.0 * y, -200.0 * z]]
    }

    /// Moves a colour from one white to another by scaling each tristimulus value, as ICC
    /// media-relative colour does (ICC.1:2022, annex D).
    #[must_use]
    pub fn rescaled(self, from: Self, to: Self) -> Self {
        Self { x: self.x / from.x * to.x, y: self.y / from.y * to.y, z: self.z / from.z * to.z }
    }
}

impl Lab {
    /// The tristimulus values of this colour under the white that it is relative to.
    #[must_use]
    pub fn to_xyz(self, white: Xyz) -> Xyz {
        let fy = (self.l + 16.0) / 116.0;
        Xyz {
            x: white.x * expand(fy + self.a / 500.0),
            y: white.y * expand(fy),
            z: white.z * expand(fy - self.b / 200.0),
        }
    }
}

/// The compressing function f(t) of CIELAB.
fn compress(ratio: f64) -> f64 {
    if ratio > LINEAR_BELOW { cube_root(ratio) } else { SLOPE * ratio + OFFSET }
}

/// The slope of [`compress`].
fn compress_slope(ratio: f64) -> f64 {
    if ratio > LINEAR_BELOW { 1.0 / (3.0 * cube_root(ratio).powi(2)) } else { SLOPE }
}

/// The inverse of [`compress`].
fn expand(compressed: f64) -> f64 {
    if compressed > COMPRESSED_LINEAR_BELOW {
        compressed.powi(3)
    } else {
        (compressed - OFFSET) / SLOPE
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn slopes_of_lab_agree_with_differences(
            x in 0.5..90.0_f64, y in 0.5..95.0_f64, z in 0.5..80.0_f64,
        ) {
            let at = |x, y, z| Xyz { x, y, z }.to_lab(Xyz::PCS_WHITE);
            let here = at(x, y, z);
            let step = 1e-6;
            let slopes = Xyz { x, y, z }.lab_slopes(Xyz::PCS_WHITE);
            for (axis, there) in
                [at(x + step, y, z), at(x, y + step, z), at(x, y, z + step)].into_iter().enumerate()
            {
                let found = [there.l - here.l, there.a - here.a, there.b - here.b];
                for (row, difference) in slopes.iter().zip(found) {
                    assert_abs_diff_eq!(row[axis], difference / step, epsilon = 1e-3);
                }
            }
        }

        #[test]
        fn lab_and_back_is_the_same_colour(l in 0.0..100.0_f64, a in -120.0..120.0_f64, b in -120.0..120.0_f64) {
            let there = Lab { l, a, b };
            let back = there.to_xyz(Xyz::PCS_WHITE).to_lab(Xyz::PCS_WHITE);
            assert_abs_diff_eq!(there.l, back.l, epsilon = 1e-9);
            assert_abs_diff_eq!(there.a, back.a, epsilon = 1e-9);
            assert_abs_diff_eq!(there.b, back.b, epsilon = 1e-9);
        }
    }
}
