use colour::{Lab, Oklab};
use rayon::prelude::*;

/// How far a gamut reaches from the middle grey in each direction of Oklab.
///
/// Directions are hue and elevation: +90° is white, −90° black. Between the tabulated ones the
/// reach is interpolated, so that a map made from it has no steps.
#[derive(Clone, Debug, PartialEq)]
pub struct GamutBoundary {
    /// Reach by elevation, and within it by hue.
    reach: Vec<f64>,
}

/// The grey from which directions are taken, near L* 50: far from every edge of a gamut.
const MIDDLE: Oklab = Oklab { l: 0.57, a: 0.0, b: 0.0 };
/// Steps of 7.5° each. Our choice: ridges between them are off by 2 % of the reach at most.
const HUES: usize = 48;
const ELEVATIONS: usize = 25;
/// No surface colour is further from the middle grey.
const FURTHEST: f64 = 0.6;
/// To a thousandth of the furthest.
const HALVINGS: usize = 10;

/// A colour as a direction and a distance from the middle grey.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Polar {
    pub(crate) distance: f64,
    /// 0 to 360°, as a share of the circle.
    hue: f64,
    /// −90° to 90°, as a share of the half circle.
    elevation: f64,
}

impl Polar {
    pub(crate) fn of(colour: Lab) -> Self {
        let Oklab { l, a, b } = colour.to_oklab();
        let (up, out) = (l - MIDDLE.l, a.hypot(b));
        Self {
            distance: up.hypot(out),
            hue: b.atan2(a).rem_euclid(std::f64::consts::TAU) / std::f64::consts::TAU,
            elevation: up.atan2(out) / std::f64::consts::PI + 0.5,
        }
    }

    /// The colour in the same direction at another distance.
    pub(crate) fn at(self, distance: f64) -> Lab {
        let [l, a, b] = self.unit().map(|axis| distance * axis);
        Oklab { l: MIDDLE.l + l, a, b }.to_lab()
    }

    /// The direction as lightness, a and b of length 1.
    fn unit(self) -> [f64; 3] {
        let elevation = (self.elevation - 0.5) * std::f64::consts::PI;
        let hue = self.hue * std::f64::consts::TAU;
        [elevation.sin(), elevation.cos() * hue.cos(), elevation.cos() * hue.sin()]
    }
}

impl GamutBoundary {
    /// The boundary of the colours that `inside` accepts, found by halving along each direction.
    ///
    /// The middle grey must be inside, and with a colour everything between it and the grey;
    /// where that does not hold, the reach ends at some edge.
    pub fn of_set(inside: impl Fn(Lab) -> bool + Sync) -> Self {
        let farthest = |direction: Polar| {
            let (mut low, mut high) = (0.0, FURTHEST);
            for _ in 0..HALVINGS {
                let middle = 0.5 * (low + high);
                if inside(direction.at(middle)) { low = middle } else { high = middle }
            }
            low
        };
        Self { reach: directions().into_par_iter().map(farthest).collect() }
    }

    /// The boundary of a body whose surface is given as triangles of colours.
    #[must_use]
    pub fn of_surface(triangles: &[[Lab; 3]]) -> Self {
        let triangles: Vec<[[f64; 3]; 3]> =
            triangles.iter().map(|corners| corners.map(from_middle)).collect();
        let farthest = |direction: Polar| {
            let ray = direction.unit();
            triangles.iter().filter_map(|triangle| hit(ray, triangle)).fold(0.0, f64::max)
        };
        Self { reach: directions().into_par_iter().map(farthest).collect() }
    }

    /// How far the gamut reaches in the direction of a colour.
    pub(crate) fn reach(&self, towards: Polar) -> f64 {
        let (hue, hue_part) = place(towards.hue, HUES);
        let (elevation, elevation_part) = place(towards.elevation, ELEVATIONS - 1);
        let next = (elevation + 1).min(ELEVATIONS - 1);
        let along = |elevation: usize| {
            let at = |hue: usize| self.reach[elevation * HUES + hue % HUES];
            at(hue) + hue_part * (at(hue + 1) - at(hue))
        };
        along(elevation) + elevation_part * (along(next) - along(elevation))
    }
}

/// The tabulated directions, hue by hue within each elevation.
fn directions() -> Vec<Polar> {
    let share = |step: usize, steps: usize| {
        #[expect(clippy::cast_precision_loss, reason = "there are few steps")]
        let share = step as f64 / steps as f64;
        share
    };
    (0..ELEVATIONS * HUES)
        .map(|number| Polar {
            distance: 0.0,
            hue: share(number % HUES, HUES),
            elevation: share(number / HUES, ELEVATIONS - 1),
        })
        .collect()
}

/// The step below a share of 0 to 1, and the part of the next that is passed.
fn place(share: f64, steps: usize) -> (usize, f64) {
    #[expect(clippy::cast_precision_loss, reason = "there are few steps")]
    let scaled = share.clamp(0.0, 1.0) * steps as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "scaled lies in 0 to steps"
    )]
    let step = scaled as usize;
    (step, scaled.fract())
}

fn from_middle(colour: Lab) -> [f64; 3] {
    let Oklab { l, a, b } = colour.to_oklab();
    [l - MIDDLE.l, a, b]
}

/// How far along a ray from the origin a triangle is hit, if it is (Möller and Trumbore, Journal
/// of Graphics Tools 2, 1997). Edges count as hit, so that no ray slips between two triangles.
fn hit(ray: [f64; 3], [corner, second, third]: &[[f64; 3]; 3]) -> Option<f64> {
    const EDGE: f64 = 1e-9;
    let (one, other) = (minus(*second, *corner), minus(*third, *corner));
    let across = cross(ray, other);
    let determinant = dot(one, across);
    if determinant.abs() < 1e-15 {
        return None;
    }
    let to_origin = corner.map(|axis| -axis);
    let u = dot(to_origin, across) / determinant;
    let along = cross(to_origin, one);
    let v = dot(ray, along) / determinant;
    let inside = u >= -EDGE && v >= -EDGE && u + v <= 1.0 + EDGE;
    Some(dot(other, along) / determinant).filter(|distance| inside && *distance > 0.0)
}

fn minus(one: [f64; 3], other: [f64; 3]) -> [f64; 3] {
    std::array::from_fn(|axis| one[axis] - other[axis])
}

fn dot(one: [f64; 3], other: [f64; 3]) -> f64 {
    one[0] * other[0] + one[1] * other[1] + one[2] * other[2]
}

fn cross([a, b, c]: [f64; 3], [d, e, f]: [f64; 3]) -> [f64; 3] {
    [b * f - c * e, c * d - a * f, a * e - b * d]
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// Near enough to the grey for every direction to hold real colours.
    const REACH: f64 = 0.1;

    /// A colour at Oklab coordinates from the middle grey.
    fn colour([l, a, b]: [f64; 3]) -> Lab {
        Oklab { l: MIDDLE.l + l, a, b }.to_lab()
    }

    #[test]
    fn a_ball_reaches_equally_far_in_all_directions() {
        let ball = GamutBoundary::of_set(|colour| Polar::of(colour).distance < REACH);
        for direction in directions() {
            assert_abs_diff_eq!(ball.reach(direction), REACH, epsilon = 1e-3);
        }
    }

    #[test]
    fn an_octahedron_reaches_to_its_corners_and_faces() {
        let mut triangles = Vec::new();
        for up in [REACH, -REACH] {
            for (one, other) in [
                ([0.0, REACH, 0.0], [0.0, 0.0, REACH]),
                ([0.0, 0.0, REACH], [0.0, -REACH, 0.0]),
                ([0.0, -REACH, 0.0], [0.0, 0.0, -REACH]),
                ([0.0, 0.0, -REACH], [0.0, REACH, 0.0]),
            ] {
                triangles.push([colour([up, 0.0, 0.0]), colour(one), colour(other)]);
            }
        }
        let octahedron = GamutBoundary::of_surface(&triangles);
        let reach = |towards| octahedron.reach(Polar::of(colour(towards)));
        assert_abs_diff_eq!(reach([0.05, 0.0, 0.0]), REACH, epsilon = 1e-3);
        assert_abs_diff_eq!(reach([0.0, 0.0, -0.05]), REACH, epsilon = 1e-3);
        // The middle of an edge.
        assert_abs_diff_eq!(reach([0.05, 0.05, 0.0]), REACH / 2.0_f64.sqrt(), epsilon = 1e-3);
    }
}
