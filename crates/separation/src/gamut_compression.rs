use colour::Lab;

use crate::gamut_boundary::{GamutBoundary, Polar};

/// Takes the colours of a source smoothly into the gamut of a set, along lines of constant
/// perceived hue towards the middle grey.
///
/// Colours up to a knee stay as they are; from there on the rest of the source is pressed between
/// the knee and the set's boundary, steadily and with a slope that is 1 at the knee, so that
/// neither an edge nor a contour appears. Neutrals stay: black-point compensation has brought
/// them in. Where the set reaches further than the source nothing moves.
///
/// The knee and the way towards a grey follow the chroma mapping of CIE 156:2004 (its
/// "sigmoidal Gaussian cusp knee" method), but with one grey for all hues and a rounded knee.
#[derive(Clone, Debug, PartialEq)]
pub struct GamutCompression {
    source: GamutBoundary,
    set: GamutBoundary,
}

/// Share of the set's reach that is kept as it is. CIE 156:2004 has 0.9, with a sharp bend; ours
/// is rounded and begins earlier.
const KNEE: f64 = 0.8;
/// Chroma C*ab over which the compression comes in. Our choice: greys stay untouched, and a
/// clearly tinted colour takes part in full.
const CHROMA_IN: [f64; 2] = [2.0, 12.0];

impl GamutCompression {
    /// From the boundary of a source to that of a set, both after black-point compensation.
    #[must_use]
    pub const fn new(source: GamutBoundary, set: GamutBoundary) -> Self {
        Self { source, set }
    }

    /// The colour that is asked of the print.
    #[must_use]
    pub fn target(&self, colour: Lab) -> Lab {
        let [from, to] = CHROMA_IN;
        let part = ((colour.chroma() - from) / (to - from)).clamp(0.0, 1.0);
        if part == 0.0 {
            return colour;
        }
        let polar = Polar::of(colour);
        let pressed = pressed(polar.distance, self.source.reach(polar), self.set.reach(polar));
        if pressed == polar.distance {
            return colour;
        }
        let smooth = part * part * (3.0 - 2.0 * part);
        polar.at(polar.distance + smooth * (pressed - polar.distance))
    }
}

/// Presses distances of 0 to `source` into 0 to `set`, leaving those below the knee.
fn pressed(distance: f64, source: f64, set: f64) -> f64 {
    let knee = KNEE * set;
    if source <= set || distance <= knee {
        return distance;
    }
    let (of_source, of_set) = (source - knee, set - knee);
    let part = ((distance - knee) / of_source).min(1.0);
    // A hyperbola from the knee with slope 1 to the boundary.
    let steepness = of_source / of_set;
    knee + of_set * steepness * part / (1.0 + (steepness - 1.0) * part)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn pressing_keeps_order_and_ends_at_the_boundary(
            source in 0.1..0.5_f64, set in 0.05..0.5_f64, at in 0.0..1.0_f64, step in 0.001..0.1_f64,
        ) {
            let one = pressed(at * source, source, set);
            let other = pressed((at + step).min(1.0) * source, source, set);
            prop_assert!(other >= one);
            prop_assert!(one <= at * source + 1e-12);
            assert_abs_diff_eq!(pressed(source, source, set), source.min(set), epsilon = 1e-12);
        }
    }

    #[test]
    fn the_knee_has_no_edge() {
        let slope = |at: f64| (pressed(at + 1e-7, 0.4, 0.2) - pressed(at - 1e-7, 0.4, 0.2)) / 2e-7;
        assert_abs_diff_eq!(slope(0.1601), 1.0, epsilon = 0.02);
        assert_abs_diff_eq!(slope(0.1599), 1.0, epsilon = 1e-6);
    }

    fn ball(reach: f64) -> GamutBoundary {
        GamutBoundary::of_set(|colour| Polar::of(colour).distance < reach)
    }

    #[test]
    fn greys_stay_and_saturated_colours_come_in_with_their_hue() {
        let compression = GamutCompression::new(ball(0.4), ball(0.2));
        let grey = Lab { l: 92.0, a: 0.5, b: -0.5 };
        assert_eq!(compression.target(grey), grey);
        let blue = Lab { l: 40.0, a: 30.0, b: -80.0 };
        let pressed = compression.target(blue);
        assert!(Polar::of(pressed).distance < 0.2 + 1e-3, "{pressed}");
        let hue = |colour: Lab| {
            let oklab = colour.to_oklab();
            oklab.b.atan2(oklab.a)
        };
        assert_abs_diff_eq!(hue(pressed), hue(blue), epsilon = 1e-6);
    }
}
