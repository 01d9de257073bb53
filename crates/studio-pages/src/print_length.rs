/// Units in which people give the size of a print.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum LengthUnit {
    /// Centimetres.
    #[default]
    Centimetres,
    /// Millimetres.
    Millimetres,
    /// Metres.
    Metres,
    /// Inches.
    Inches,
}

/// By definition of the inch.
const MILLIMETRES_PER_INCH: f64 = 25.4;

/// The side of a print that is given; the other follows from the picture.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Side {
    /// From left to right.
    #[default]
    Width,
    /// From top to bottom.
    Height,
}

impl LengthUnit {
    pub(crate) const ALL: [Self; 4] =
        [Self::Centimetres, Self::Millimetres, Self::Metres, Self::Inches];

    /// As the unit is written behind a number.
    pub(crate) const fn sign(self) -> &'static str {
        match self {
            Self::Centimetres => "cm",
            Self::Millimetres => "mm",
            Self::Metres => "m",
            Self::Inches => "in",
        }
    }

    pub(crate) fn of_sign(sign: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|unit| unit.sign() == sign)
    }

    const fn millimetres(self) -> f64 {
        match self {
            Self::Centimetres => 10.0,
            Self::Millimetres => 1.0,
            Self::Metres => 1000.0,
            Self::Inches => MILLIMETRES_PER_INCH,
        }
    }

    /// A length in this unit, to a tenth of a millimetre or a hundredth of an inch.
    pub(crate) fn write(self, millimetres: f64) -> String {
        let digits = match self {
            Self::Centimetres | Self::Inches => 2,
            Self::Millimetres => 1,
            Self::Metres => 4,
        };
        shortest(millimetres / self.millimetres(), digits)
    }
}

impl Side {
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Width => "width",
            Self::Height => "height",
        }
    }

    /// As it is said behind a length.
    pub(crate) const fn adjective(self) -> &'static str {
        match self {
            Self::Width => "wide",
            Self::Height => "high",
        }
    }
}

/// A number with at most so many decimals and no idle noughts.
fn shortest(number: f64, digits: usize) -> String {
    let text = format!("{number:.digits$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// Pixels per inch below which fine detail looks soft from reading distance. Common practice, no
/// source: 300 is asked of books, half of it of wide prints.
const SOFT_BELOW: f64 = 150.0;
/// Pixels per inch below which single pixels may be seen from reading distance: their sides reach
/// 0.35 mm, about three minutes of arc at 40 cm. Our choice.
const COARSE_BELOW: f64 = 72.0;

/// What to say of a picture with too few pixels for its size, and up to which width it has enough.
pub(crate) fn resolution_advice(width_px: u32, width_mm: f64, unit: LengthUnit) -> Option<String> {
    let inches = |pixels_per_inch: f64| f64::from(width_px) / pixels_per_inch;
    let pixels_per_inch = f64::from(width_px) * MILLIMETRES_PER_INCH / width_mm;
    let looks = match pixels_per_inch {
        enough if enough >= SOFT_BELOW => return None,
        soft if soft >= COARSE_BELOW => "fine detail will look soft from close by",
        _ => "single pixels may be seen from close by",
    };
    let enough = unit.write((inches(SOFT_BELOW) * MILLIMETRES_PER_INCH).floor());
    Some(format!(
        "Low resolution: at this size the picture has {pixels_per_inch:.0} pixels per inch, and \
         {looks}. Up to {enough} {} wide it has {SOFT_BELOW:.0} or more; a file with more pixels \
         helps, too.",
        unit.sign()
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_written_without_idle_noughts() {
        assert_eq!(LengthUnit::Centimetres.write(600.0), "60");
        assert_eq!(LengthUnit::Centimetres.write(601.3), "60.13");
        assert_eq!(LengthUnit::Inches.write(609.6), "24");
        assert_eq!(LengthUnit::Metres.write(1234.5), "1.2345");
        assert_eq!(LengthUnit::Millimetres.write(600.04), "600");
    }

    #[test]
    fn too_few_pixels_are_told_with_the_size_that_they_are_enough_for() {
        assert_eq!(resolution_advice(3000, 508.0, LengthUnit::Centimetres), None);
        let soft = resolution_advice(3000, 600.0, LengthUnit::Centimetres).unwrap();
        assert!(soft.contains("127 pixels per inch") && soft.contains("soft"), "{soft}");
        assert!(soft.contains("Up to 50.8 cm wide"), "{soft}");
        let coarse = resolution_advice(600, 609.6, LengthUnit::Inches).unwrap();
        assert!(coarse.contains("25 pixels per inch") && coarse.contains("single"), "{coarse}");
        assert!(coarse.contains("Up to 3.98 in wide"), "{coarse}");
    }
}
