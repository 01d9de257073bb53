use colour::Lab;

use crate::dual::Dual;

/// How far a printed colour is from its goal, as a vector whose square sum an inverse minimises.
///
/// The first three elements are CIEDE2000 in Cartesian form: lightness, and the difference in
/// the (a′, b′) plane through a square root of the formula's quadratic form. For colours of
/// equal hue, and for all small differences, their square sum is ΔE00²; unlike chroma and hue
/// difference they are smooth at neutrals. The fourth is the distance from the goal's line of
/// constant perceived hue, which bends away from CIELAB's in blue; inside the gamut it vanishes
/// with the others, outside it keeps clipped blues from turning purple.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ColourResidual {
    goal: Lab,
    goal_chroma: f64,
    /// Unit vector across the goal's hue in the hue-linear space, and its weight.
    across_hue: [f64; 2],
}

/// Elements of a residual.
pub(crate) const ELEMENTS: usize = 4;

/// Weight of the hue element in ΔE00 per unit of 0.01 in the hue-linear space. Our choice: the
/// largest for which clipped colours stay within a few percent of the least ΔE00.
const HUE_WEIGHT: f64 = 0.4;
/// Hue-linear chroma (times 100) below which hue loses its meaning: our choice,
/// about the chroma at which a grey begins to look tinted.
const NEUTRAL_CHROMA: f64 = 2.0;

const POW25_7: f64 = 6_103_515_625.0;

impl ColourResidual {
    pub(crate) fn new(goal: Lab) -> Self {
        let [a, b] = hue_linear(lab_variables(goal)).map(|axis| axis.value);
        let chroma = a.hypot(b);
        let weight = HUE_WEIGHT * chroma / (chroma + NEUTRAL_CHROMA) / chroma.max(1e-9);
        Self { goal, goal_chroma: goal.chroma(), across_hue: [-b * weight, a * weight] }
    }

    /// The residual of a printed colour, with its slopes over L*, a*, b*.
    pub(crate) fn at(&self, printed: Lab) -> [Dual; ELEMENTS] {
        let variables = lab_variables(printed);
        let [lightness, first, second] = self.ciede2000(variables);
        let [a, b] = hue_linear(variables);
        let hue = a * self.across_hue[0] + b * self.across_hue[1];
        [lightness, first, second, hue]
    }

    /// Source: ISO/CIE 11664-6; symbols as in Sharma, Wu and Dalal (2005).
    fn ciede2000(&self, [l, a, b]: [Dual; 3]) -> [Dual; 3] {
        let goal = self.goal;
        let mean_chroma = ((a * a + b * b).sqrt() + self.goal_chroma) * 0.5;
        let g = g_of(mean_chroma);
        let (a1, a2) = ((g + 1.0) * goal.a, (g + 1.0) * a);
        let (difference_a, difference_b) = (a2 - a1, b + -goal.b);
        let b1 = Dual::constant(goal.b);
        let (chroma1, chroma2) = ((a1 * a1 + b1 * b1).sqrt(), (a2 * a2 + b * b).sqrt());
        let chroma = (chroma1 + chroma2) * 0.5;
        // The direction of the mean hue: the sum of the unit vectors of both.
        let hue = Dual::atan2(b1 / chroma1 + b / chroma2, a1 / chroma1 + a2 / chroma2);
        let (cos, sin) = (hue.cos(), hue.sin());
        let radial = difference_a * cos + difference_b * sin;
        let tangential = difference_b * cos - difference_a * sin;
        let (scale_c, scale_h, rotation) = weights(chroma, hue);
        let in_chroma = radial / scale_c;
        let in_hue = tangential / scale_h;
        // c² + R c h + h² = (c + R h / 2)² + (1 − R² / 4) h².
        let half = rotation * 0.5;
        let along = in_chroma + half * in_hue;
        let across = (-(half * half) + 1.0).sqrt() * in_hue;
        // Turned back, so that nothing jumps where the mean hue is undefined.
        let first = along * cos - across * sin;
        let second = along * sin + across * cos;
        [(l + -goal.l) / lightness_weight((l + goal.l) * 0.5), first, second]
    }
}

fn lab_variables(colour: Lab) -> [Dual; 3] {
    [Dual::variable(colour.l, 0), Dual::variable(colour.a, 1), Dual::variable(colour.b, 2)]
}

/// G: stretches a* of near-neutral colours.
fn g_of(mean_chroma: Dual) -> Dual {
    let seventh = mean_chroma.powi(7);
    -((seventh / (seventh + POW25_7)).sqrt()) * 0.5 + 0.5
}

/// S_L of the mean lightness.
fn lightness_weight(mean: Dual) -> Dual {
    let square = (mean + -50.0) * (mean + -50.0);
    square * 0.015 / (square + 20.0).sqrt() + 1.0
}

/// S_C, S_H and R_T of the mean chroma and hue.
fn weights(chroma: Dual, hue: Dual) -> (Dual, Dual, Dual) {
    let degrees = |angle: f64| Dual::constant(angle.to_radians());
    let t = -((hue - degrees(30.0)).cos() * 0.17)
        + (hue * 2.0).cos() * 0.24
        + (hue * 3.0 + degrees(6.0)).cos() * 0.32
        - (hue * 4.0 - degrees(63.0)).cos() * 0.20
        + 1.0;
    // The mean hue of atan2 lies in −180° to 180°; the blue region is at 275° = −85°.
    let from_blue = (hue - degrees(-85.0)) * (180.0 / std::f64::consts::PI / 25.0);
    let wrapped = if from_blue.value > 7.2 { from_blue + -14.4 } else { from_blue };
    let angle = (-(wrapped * wrapped)).exp() * 60.0_f64.to_radians();
    let seventh = chroma.powi(7);
    let rotation = -((seventh / (seventh + POW25_7)).sqrt() * 2.0 * angle.sin());
    (chroma * 0.045 + 1.0, chroma * t * 0.015 + 1.0, rotation)
}

/// The two chromatic axes of Oklab times 100: lines of constant perceived hue are straight in it.
///
/// Source: Ottosson, "A perceptual color space for image processing" (2020); matrices as
/// published, preceded by the linear Bradford adaptation from D50 to D65 (ICC.1:2022, annex E).
fn hue_linear([l, a, b]: [Dual; 3]) -> [Dual; 2] {
    let fy = (l + 16.0) * (1.0 / 116.0);
    let cube = |f: Dual, white: f64| f.powi(3) * white;
    let xyz =
        [cube(fy + a * (1.0 / 500.0), 0.9642), cube(fy, 1.0), cube(fy - b * (1.0 / 200.0), 0.8249)];
    let times = |row: [f64; 3], v: [Dual; 3]| v[0] * row[0] + v[1] * row[1] + v[2] * row[2];
    let d65 = BRADFORD_D50_TO_D65.map(|row| times(row, xyz));
    let cones = XYZ_TO_CONES.map(|row| times(row, d65).cbrt());
    CONES_TO_CHROMATIC.map(|row| times(row, cones) * 100.0)
}

const BRADFORD_D50_TO_D65: [[f64; 3]; 3] = [
    [0.955_576_6, -0.023_039_3, 0.063_163_6],
    [-0.028_289_5, 1.009_941_6, 0.021_007_7],
    [0.012_298_2, -0.020_483_0, 1.329_909_8],
];
const XYZ_TO_CONES: [[f64; 3]; 3] = [
    [0.818_933_010_1, 0.361_866_742_4, -0.128_859_713_7],
    [0.032_984_543_6, 0.929_311_871_5, 0.036_145_638_7],
    [0.048_200_301_8, 0.264_366_269_1, 0.633_851_707_0],
];
const CONES_TO_CHROMATIC: [[f64; 3]; 2] = [
    [1.977_998_495_1, -2.428_592_205_0, 0.450_593_709_9],
    [0.025_904_037_1, 0.782_771_766_2, -0.808_675_766_0],
];

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use colour::delta_e_00;
    use proptest::prelude::*;

    fn length(residual: [Dual; ELEMENTS]) -> f64 {
        residual[..3].iter().map(|r| r.value * r.value).sum::<f64>().sqrt()
    }

    proptest! {
        #[test]
        fn small_differences_have_the_length_of_delta_e_00(
            l in 5.0..95.0_f64, a in -80.0..80.0_f64, b in -80.0..80.0_f64,
            dl in -0.5..0.5_f64, da in -0.5..0.5_f64, db in -0.5..0.5_f64,
        ) {
            let goal = Lab { l, a, b };
            let printed = Lab { l: l + dl, a: a + da, b: b + db };
            let expected = delta_e_00(goal, printed);
            let found = length(ColourResidual::new(goal).at(printed));
            prop_assert!((found - expected).abs() < 0.02 * expected + 0.02, "{found} {expected}");
        }

        #[test]
        fn slopes_agree_with_differences(
            l in 5.0..95.0_f64, a in -80.0..80.0_f64, b in -80.0..80.0_f64,
            dl in -20.0..20.0_f64, da in -20.0..20.0_f64, db in -20.0..20.0_f64,
        ) {
            let residual = ColourResidual::new(Lab { l, a, b });
            let at = |l, a, b| residual.at(Lab { l, a, b });
            let (l, a, b) = (l + dl, a + da, b + db);
            prop_assume!(a.hypot(b) > 1.0 && l > 0.0);
            let step = 1e-5;
            let shifted = [
                [at(l + step, a, b), at(l - step, a, b)],
                [at(l, a + step, b), at(l, a - step, b)],
                [at(l, a, b + step), at(l, a, b - step)],
            ];
            for (element, found) in at(l, a, b).iter().enumerate() {
                for (axis, [up, down]) in shifted.iter().enumerate() {
                    let expected = (up[element].value - down[element].value) / (2.0 * step);
                    // At a mean hue of ±180° the halves of the difference lie on two branches.
                    prop_assume!((up[element].value - down[element].value).abs() < 0.01);
                    assert_abs_diff_eq!(found.slopes[axis], expected, epsilon = 1e-4);
                }
            }
        }
    }

    #[test]
    fn a_colour_that_meets_its_goal_has_no_residual() {
        for goal in [Lab::WHITE, Lab { l: 0.0, a: 0.0, b: 0.0 }, Lab { l: 50.0, a: 0.0, b: -60.0 }]
        {
            let residual = ColourResidual::new(goal).at(goal);
            assert_abs_diff_eq!(length(residual), 0.0, epsilon = 1e-6);
            assert_abs_diff_eq!(residual[3].value, 0.0, epsilon = 1e-6);
        }
    }
}
