use std::fmt;
use std::ops::Mul;

use crate::quantity::{quantity, summable};
use crate::{Area, LayDown, Load};

quantity! {
    /// A volume of ink in millilitres.
    Volume, "volume", "ml", 0.0, 1e15, from_millilitres, to_millilitres
}
summable!(Volume);

impl Volume {
    /// The volume scaled by a plain factor, for the ends of a range.
    ///
    /// A negative or undefined factor gives no ink at all rather than a negative volume.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        Self((self.0 * factor).max(0.0))
    }

    /// Percent that this volume is below another, negative where it is above; `None` where the
    /// other is nothing.
    #[must_use]
    pub fn percent_below(self, other: Self) -> Option<f64> {
        (other.0 > 0.0).then(|| 100.0 * (1.0 - self.0 / other.0))
    }
}

impl Mul<Area> for LayDown {
    type Output = Volume;
    fn mul(self, area: Area) -> Volume {
        Volume(self.to_millilitres_per_square_metre() * area.to_square_metres())
    }
}

impl Mul<Area> for Load {
    type Output = Volume;
    fn mul(self, area: Area) -> Volume {
        Volume(self.to_millilitres_per_square_metre() * area.to_square_metres())
    }
}

impl fmt::Display for Volume {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{:.2} ml", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn lay_down_times_area_is_a_volume() {
        let lay_down = LayDown::from_millilitres_per_square_metre(9.0).unwrap();
        let area = Area::from_square_metres(0.5).unwrap();
        assert_relative_eq!((lay_down * area).to_millilitres(), 4.5);
    }
}
