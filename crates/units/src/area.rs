use std::fmt;

use crate::quantity::{quantity, summable};

quantity! {
    /// An area in square metres.
    Area, "area", "m²", 0.0, 1e12, from_square_metres, to_square_metres
}
summable!(Area);

impl Area {
    /// The product of two lengths, whose ranges keep it inside this one's.
    pub(crate) const fn from_product(square_metres: f64) -> Self {
        Self(square_metres)
    }

    /// The area of so many equal pieces.
    #[must_use]
    pub fn times(self, pieces: u32) -> Self {
        Self(self.0 * f64::from(pieces))
    }
}

impl fmt::Display for Area {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{:.4} m²", self.0)
    }
}
