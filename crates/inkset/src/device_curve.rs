use units::{Coverage, DeviceValue};

/// From what a file asks to what is fired.
#[derive(Clone, Debug, PartialEq)]
pub enum DeviceCurve {
    /// Not known. The built separation, which works in coverage, doesn't need it; an output
    /// profile is then taken by the default curve.
    Unknown,
    /// Rising pairs of device value and coverage, from 0 to 100 % of device value.
    Points(Vec<(DeviceValue, Coverage)>),
}

/// Exponent of the default curve: half a device value fires 35 % of the drops. Our choice,
/// because devices are mostly linearised to even steps of tone, and dot gain makes a third of the
/// drops look like half a tone (common practice, no source). Whoever uses it widens the range.
const DEFAULT_EXPONENT: f64 = 1.5;

impl DeviceCurve {
    /// Whether device values go through the default curve, for want of a known one.
    #[must_use]
    pub const fn is_unknown(&self) -> bool {
        matches!(self, Self::Unknown)
    }

    /// The coverage that a device value fires, straight between points.
    #[must_use]
    pub fn coverage(&self, device: DeviceValue) -> Coverage {
        let fraction = device.to_fraction();
        let coverage = match self {
            Self::Unknown => fraction.powf(DEFAULT_EXPONENT),
            Self::Points(points) => {
                between(fraction, points.iter().map(|(x, y)| (x.to_fraction(), y.to_fraction())))
            }
        };
        Coverage::from_fraction(coverage.clamp(0.0, 1.0)).unwrap_or(Coverage::MIN)
    }

    /// The lowest device value that fires a coverage; the highest of all for one beyond reach.
    #[must_use]
    pub fn device_value(&self, coverage: Coverage) -> DeviceValue {
        let fraction = coverage.to_fraction();
        let device = match self {
            Self::Unknown => fraction.powf(1.0 / DEFAULT_EXPONENT),
            Self::Points(points) => {
                between(fraction, points.iter().map(|(x, y)| (y.to_fraction(), x.to_fraction())))
            }
        };
        DeviceValue::from_fraction(device.clamp(0.0, 1.0)).unwrap_or(DeviceValue::MIN)
    }
}

/// The straight line between the points around a place; the first point that reaches the place
/// ends the stretch, so that a level one gives its beginning.
fn between(at: f64, points: impl Iterator<Item = (f64, f64)>) -> f64 {
    let mut below: Option<(f64, f64)> = None;
    for (x, y) in points {
        if x >= at {
            return below.map_or(y, |(from, start)| start + (at - from) / (x - from) * (y - start));
        }
        below = Some((x, y));
    }
    below.map_or(0.0, |(_, y)| y)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn device(fraction: f64) -> DeviceValue {
        DeviceValue::from_fraction(fraction).unwrap()
    }

    fn coverage(fraction: f64) -> Coverage {
        Coverage::from_fraction(fraction).unwrap()
    }

    fn curve(points: &[(f64, f64)]) -> DeviceCurve {
        DeviceCurve::Points(points.iter().map(|(x, y)| (device(*x), coverage(*y))).collect())
    }

    #[test]
    fn the_default_curve_fires_about_a_third_of_the_drops_at_half_a_value() {
        let half = DeviceCurve::Unknown.coverage(device(0.5));
        assert_relative_eq!(half.to_fraction(), 0.353_553, epsilon = 1e-6);
    }

    #[test]
    fn points_are_joined_by_straight_lines() {
        let curve = curve(&[(0.0, 0.0), (0.5, 0.3), (1.0, 0.9)]);
        for (from, to) in [(0.0, 0.0), (0.25, 0.15), (0.5, 0.3), (0.75, 0.6), (1.0, 0.9)] {
            assert_relative_eq!(curve.coverage(device(from)).to_fraction(), to, epsilon = 1e-12);
            let back = curve.device_value(coverage(to)).to_fraction();
            assert_relative_eq!(back, from, epsilon = 1e-12);
        }
        assert_eq!(curve.device_value(coverage(1.0)), device(1.0));
    }

    #[test]
    fn a_level_stretch_is_met_at_its_beginning() {
        let curve = curve(&[(0.0, 0.0), (0.1, 0.0), (0.6, 0.5), (1.0, 0.5)]);
        assert_eq!(curve.device_value(coverage(0.0)), device(0.0));
        assert_eq!(curve.device_value(coverage(0.5)), device(0.6));
    }

    proptest! {
        #[test]
        fn more_of_one_is_never_less_of_the_other(
            one in 0.0..=1.0_f64, other in 0.0..=1.0_f64, middle in 0.0..=1.0_f64,
        ) {
            let (less, more) = if one < other { (one, other) } else { (other, one) };
            for curve in
                [DeviceCurve::Unknown, curve(&[(0.0, 0.0), (0.5, middle), (1.0, 1.0)])]
            {
                prop_assert!(curve.coverage(device(less)) <= curve.coverage(device(more)));
                prop_assert!(curve.device_value(coverage(less)) <= curve.device_value(coverage(more)));
            }
        }
    }
}
