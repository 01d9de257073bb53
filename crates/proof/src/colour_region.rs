use std::fmt;

use colour::Lab;

/// Where a colour lies, in the words that people use for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ColourRegion {
    /// Dark colours of any hue.
    Shadows,
    /// Colours without a clear hue.
    Neutrals,
    /// Around a hue angle of 25°.
    Reds,
    /// Around 58°.
    Oranges,
    /// Around 92°.
    Yellows,
    /// Around 145°.
    Greens,
    /// Around 210°.
    Cyans,
    /// Around 265°.
    Blues,
    /// Around 308°.
    Violets,
    /// Around 348°.
    Magentas,
}

/// Below this L* a colour is called a shadow, whatever its hue: the last fifth of the lightness
/// scale, where the darkest black decides what is lost. Our choice.
const SHADOWS_BELOW: f64 = 20.0;
/// Below this chroma a colour is called neutral. Our choice: hue names stop being agreed on
/// between C*ab 5 and 10.
const NEUTRALS_BELOW: f64 = 8.0;
/// Where each hue region ends, in degrees of CIELAB hue. Our choice: half-way between the elementary
/// and mixed hues as people name them (common practice, no source). The last runs into the first.
const HUES: [(f64, ColourRegion); 8] = [
    (42.0, ColourRegion::Reds),
    (75.0, ColourRegion::Oranges),
    (110.0, ColourRegion::Yellows),
    (178.0, ColourRegion::Greens),
    (240.0, ColourRegion::Cyans),
    (292.0, ColourRegion::Blues),
    (328.0, ColourRegion::Violets),
    (362.0, ColourRegion::Magentas),
];
/// Hue angles below this belong to the last region: 362° − 360°.
const FIRST_HUE: f64 = 2.0;

impl ColourRegion {
    /// Every region.
    pub const ALL: [Self; 10] = [
        Self::Shadows,
        Self::Neutrals,
        Self::Reds,
        Self::Oranges,
        Self::Yellows,
        Self::Greens,
        Self::Cyans,
        Self::Blues,
        Self::Violets,
        Self::Magentas,
    ];

    /// The region of a media-relative colour.
    #[must_use]
    pub fn of(colour: Lab) -> Self {
        if colour.l < SHADOWS_BELOW {
            return Self::Shadows;
        }
        if colour.chroma() < NEUTRALS_BELOW {
            return Self::Neutrals;
        }
        let hue = colour.hue_degrees();
        let hue = if hue < FIRST_HUE { hue + 360.0 } else { hue };
        HUES.iter().find(|(end, _)| hue < *end).map_or(Self::Magentas, |(_, region)| *region)
    }

    /// The word for it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Shadows => "shadows",
            Self::Neutrals => "neutrals",
            Self::Reds => "reds",
            Self::Oranges => "oranges",
            Self::Yellows => "yellows",
            Self::Greens => "greens",
            Self::Cyans => "cyans",
            Self::Blues => "blues",
            Self::Violets => "violets",
            Self::Magentas => "magentas",
        }
    }
}

impl fmt::Display for ColourRegion {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// sRGB primaries, mixtures and some named colours in CIELAB under D50 (computed with the
    /// oracle `tests/oracles/srgb_to_lab.py`), and what anybody calls them.
    const NAMED: &[(f64, f64, f64, ColourRegion)] = &[
        (54.3, 80.8, 69.9, ColourRegion::Reds),
        (69.0, 38.0, 75.0, ColourRegion::Oranges),
        (97.6, -15.8, 93.4, ColourRegion::Yellows),
        (87.8, -79.3, 81.0, ColourRegion::Greens),
        (90.7, -50.7, -15.0, ColourRegion::Cyans),
        (43.0, 5.0, -62.0, ColourRegion::Blues),
        (40.0, 45.0, -50.0, ColourRegion::Violets),
        (60.2, 93.6, -60.5, ColourRegion::Violets),
        (55.0, 75.0, -12.0, ColourRegion::Magentas),
        (53.4, 0.0, 0.0, ColourRegion::Neutrals),
        (12.0, 20.0, -30.0, ColourRegion::Shadows),
    ];

    #[test]
    fn colours_are_called_what_people_call_them() {
        for &(l, a, b, region) in NAMED {
            let colour = Lab { l, a, b };
            assert_eq!(ColourRegion::of(colour), region, "{colour}, {}°", colour.hue_degrees());
        }
    }

    #[test]
    fn the_hue_circle_has_no_gap() {
        for degrees in 0..360 {
            let hue = f64::from(degrees).to_radians();
            let colour = Lab { l: 50.0, a: 50.0 * hue.cos(), b: 50.0 * hue.sin() };
            let region = ColourRegion::of(colour);
            assert!(!matches!(region, ColourRegion::Shadows | ColourRegion::Neutrals), "{degrees}");
        }
    }
}
