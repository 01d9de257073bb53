use std::fmt;

use crate::Length;
use crate::quantity::quantity;

quantity! {
    /// Addressing of a print mode or resolution of a picture, in dots or pixels per inch.
    DotsPerInch, "resolution", "dots per inch", 1.0, 100_000.0,
    from_dots_per_inch, to_dots_per_inch
}

impl DotsPerInch {
    /// Makes a resolution from dots per metre, as PNG files state it.
    ///
    /// # Errors
    ///
    /// `OutOfRange` outside 1 to 100,000 dots per inch.
    pub fn from_dots_per_metre(value: f64) -> Result<Self, crate::UnitError> {
        Self::from_dots_per_inch(value * 0.0254)
    }

    /// The length that so many dots take.
    ///
    /// # Errors
    ///
    /// `OutOfRange` when the dots would be longer than a kilometre.
    pub fn length_of(self, dots: u32) -> Result<Length, crate::UnitError> {
        Length::from_inches(f64::from(dots) / self.0)
    }
}

impl fmt::Display for DotsPerInch {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{:.0} dpi", self.0)
    }
}
