use std::fmt;

/// A colour in CIELAB (CIE 15, ISO/CIE 11664-4), relative to a white that the context states.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lab {
    /// Lightness L*, 0 (black) to 100 (the white).
    pub l: f64,
    /// Green to red, a*.
    pub a: f64,
    /// Blue to yellow, b*.
    pub b: f64,
}

impl Lab {
    /// The white that the colour is relative to.
    pub const WHITE: Self = Self { l: 100.0, a: 0.0, b: 0.0 };

    /// Chroma C*ab.
    #[must_use]
    pub fn chroma(self) -> f64 {
        (self.a * self.a + self.b * self.b).sqrt()
    }

    /// Hue angle h*ab in degrees, 0 to 360.
    #[must_use]
    pub fn hue_degrees(self) -> f64 {
        self.b.atan2(self.a).to_degrees().rem_euclid(360.0)
    }
}

impl fmt::Display for Lab {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "L* {:.2}, a* {:.2}, b* {:.2}", self.l, self.a, self.b)
    }
}
