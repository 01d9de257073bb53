use std::str::FromStr;

use colour::Lab;
use icc::{RenderingIntent, SourceProfile, SourceTransform};
use thiserror::Error;

/// A colour that is asked about, and what it is called.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedColour {
    /// Its name; as it was written where it has none.
    pub name: String,
    /// The colour, media-relative.
    pub colour: Lab,
}

/// Why a text is no colour.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum ColourTextError {
    /// Input: neither CIELAB nor sRGB.
    #[error("`{text}` is no colour; write L*,a*,b* as in 52,42,20, or sRGB as in #c0402a")]
    Unreadable {
        /// The text.
        text: String,
    },
    /// Input: CIELAB out of range.
    #[error(
        "`{text}` is outside L* 0 to 100 or a*, b* −200 to 200; a colour relative to the paper is \
         wanted"
    )]
    OutOfRange {
        /// The text.
        text: String,
    },
}

/// The largest a* or b*: beyond any real colour.
const MOST: f64 = 200.0;

impl NamedColour {
    /// Makes a named colour from CIELAB coordinates, media-relative.
    ///
    /// # Errors
    ///
    /// `OutOfRange` outside L* 0 to 100 or a*, b* ±200, and for undefined values.
    pub fn from_lab(name: String, [l, a, b]: [f64; 3]) -> Result<Self, ColourTextError> {
        let within = (0.0..=100.0).contains(&l) && a.abs() <= MOST && b.abs() <= MOST;
        if !within {
            return Err(ColourTextError::OutOfRange { text: format!("{l},{a},{b}") });
        }
        Ok(Self { name, colour: Lab { l, a, b } })
    }

    /// The same colour under another name; an empty one changes nothing.
    #[must_use]
    pub fn called(self, name: &str) -> Self {
        if name.is_empty() { self } else { Self { name: name.to_owned(), ..self } }
    }
}

impl FromStr for NamedColour {
    type Err = ColourTextError;

    /// Reads `L*,a*,b*` or sRGB as six hexadecimal digits after `#`. White of sRGB is the paper.
    fn from_str(text: &str) -> Result<Self, ColourTextError> {
        let unreadable = || ColourTextError::Unreadable { text: text.to_owned() };
        if let Some(digits) = text.strip_prefix('#') {
            let colour = srgb(digits).ok_or_else(unreadable)?;
            return Ok(Self { name: text.to_owned(), colour });
        }
        let numbers: Vec<f64> = text
            .split(',')
            .map(|part| part.trim().parse().map_err(|_| unreadable()))
            .collect::<Result<_, _>>()?;
        let coordinates = <[f64; 3]>::try_from(numbers).map_err(|_| unreadable())?;
        Self::from_lab(text.to_owned(), coordinates)
    }
}

fn srgb(digits: &str) -> Option<Lab> {
    let all_hexadecimal = digits.len() == 6 && digits.bytes().all(|b| b.is_ascii_hexdigit());
    let number = all_hexadecimal.then(|| u32::from_str_radix(digits, 16).ok()).flatten()?;
    let [_, red, green, blue] = number.to_be_bytes();
    let encoded = [red, green, blue].map(|sample| f64::from(sample) / 255.0);
    let profile = SourceProfile::srgb();
    let transform = SourceTransform::new(&profile, RenderingIntent::RelativeColorimetric).ok()?;
    transform.to_lab(&encoded).ok()?.first().copied()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn both_ways_of_writing_a_colour_are_read() {
        let lab: NamedColour = " 52, -42,20.5".parse().unwrap();
        assert_eq!(lab.colour, Lab { l: 52.0, a: -42.0, b: 20.5 });
        let white: NamedColour = "#FFFFFF".parse().unwrap();
        assert_abs_diff_eq!(white.colour.l, 100.0, epsilon = 1e-3);
        // sRGB red, relative to D50 (IEC 61966-2-1, Bradford): 54.29, 80.80, 69.89.
        let red: NamedColour = "#ff0000".parse().unwrap();
        for (found, wanted) in [(red.colour.l, 54.29), (red.colour.a, 80.80), (red.colour.b, 69.89)]
        {
            assert_abs_diff_eq!(found, wanted, epsilon = 0.05);
        }
    }

    #[test]
    fn what_is_no_colour_is_refused() {
        for text in ["", "red", "#12345", "#12345g", "1,2", "1,2,3,4", "#+12345"] {
            let fault = text.parse::<NamedColour>().unwrap_err();
            assert_eq!(fault, ColourTextError::Unreadable { text: text.to_owned() });
        }
        for text in ["101,0,0", "-1,0,0", "50,300,0", "NaN,0,0"] {
            let fault = text.parse::<NamedColour>().unwrap_err().to_string();
            assert!(fault.contains("outside L* 0 to 100"), "{fault}");
        }
    }
}
