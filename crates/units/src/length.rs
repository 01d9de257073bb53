use std::fmt;
use std::ops::Mul;
use std::str::FromStr;

use crate::quantity::quantity;
use crate::{Area, UnitError};

quantity! {
    /// A length, up to a kilometre: longer than any roll.
    Length, "length", "m", 0.0, 1000.0, from_metres, to_metres
}

/// Metres in one inch; exact by the international yard and pound agreement of 1959.
const METRES_PER_INCH: f64 = 0.0254;

impl Length {
    /// Makes a length from millimetres.
    ///
    /// # Errors
    ///
    /// `OutOfRange` outside 0 to 1000 m or for NaN.
    pub fn from_millimetres(value: f64) -> Result<Self, UnitError> {
        Self::from_metres(value / 1000.0)
    }

    /// Makes a length from inches.
    ///
    /// # Errors
    ///
    /// `OutOfRange` outside 0 to 1000 m or for NaN.
    pub fn from_inches(value: f64) -> Result<Self, UnitError> {
        Self::from_metres(value * METRES_PER_INCH)
    }

    /// The length in millimetres.
    #[must_use]
    pub fn to_millimetres(self) -> f64 {
        self.0 * 1000.0
    }

    /// The length in inches.
    #[must_use]
    pub fn to_inches(self) -> f64 {
        self.0 / METRES_PER_INCH
    }
}

impl Mul for Length {
    type Output = Area;
    fn mul(self, other: Self) -> Area {
        Area::from_product(self.0 * other.0)
    }
}

impl fmt::Display for Length {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{:.1} cm", self.0 * 100.0)
    }
}

impl FromStr for Length {
    type Err = UnitError;

    /// Reads "60cm", "60 cm", "600 mm", "0.6 m" or "24 in". A bare number is refused: nobody
    /// can know its unit.
    fn from_str(text: &str) -> Result<Self, UnitError> {
        let unreadable = || UnitError::Unreadable {
            text: text.to_owned(),
            quantity: "length",
            example: "60cm, 600mm, 0.6m or 24in",
        };
        let trimmed = text.trim();
        let unit_at = trimmed.find(|c: char| c.is_ascii_alphabetic()).ok_or_else(unreadable)?;
        let (number, unit) = trimmed.split_at(unit_at);
        let number: f64 = number.trim().parse().map_err(|_| unreadable())?;
        match unit {
            "mm" => Self::from_millimetres(number),
            "cm" => Self::from_metres(number / 100.0),
            "m" => Self::from_metres(number),
            "in" => Self::from_inches(number),
            _ => Err(unreadable()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_length_reads_every_documented_unit() {
        for text in ["60cm", "60 cm", " 600 mm ", "0.6m", "0.6 m"] {
            assert_relative_eq!(text.parse::<Length>().unwrap().to_millimetres(), 600.0);
        }
        assert_relative_eq!("24in".parse::<Length>().unwrap().to_millimetres(), 609.6);
    }

    #[test]
    fn a_bare_number_or_an_unknown_unit_is_refused_with_an_example() {
        for text in ["60", "60 ells", "", "cm", "1e3 cm", "∞ m", "6,5 cm"] {
            let message = text.parse::<Length>().unwrap_err().to_string();
            assert!(message.contains("for example 60cm"), "{message}");
        }
    }

    #[test]
    fn a_negative_or_absurd_length_is_refused_with_its_range() {
        for text in ["-1 m", "1001 m"] {
            let message = text.parse::<Length>().unwrap_err().to_string();
            assert!(message.contains("outside 0 to 1000 m"), "{message}");
        }
        assert!(Length::from_metres(f64::NAN).is_err());
    }
}
