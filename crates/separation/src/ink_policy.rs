use std::fmt;

use units::Share;

/// The rule that picks one of the many separations with the same colour.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum InkPolicy {
    /// Black replacement as the ink set states it.
    #[default]
    OfSet,
    /// Another black replacement: 0 the least black, 1 the most.
    BlackReplacement(Share),
    /// The least ink that keeps every colour within a tolerance of what the set can print of it.
    LeastInk(ColourTolerance),
    /// Lightness alone, through the black family, with a toning or without.
    Monochrome(Toning),
}

/// A colour difference ΔE00 that may be spent, 0 to 10.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct ColourTolerance(f64);

/// The tint of a monochrome print: a* and b* of its mid-grey, falling to neutral at white and
/// black.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Toning {
    a: f64,
    b: f64,
}

impl InkPolicy {
    /// The toning of a monochrome print.
    #[must_use]
    pub const fn toning(&self) -> Option<Toning> {
        match self {
            Self::Monochrome(toning) => Some(*toning),
            Self::OfSet | Self::BlackReplacement(_) | Self::LeastInk(_) => None,
        }
    }
}

impl ColourTolerance {
    /// The highest tolerance: beyond it colours are no longer the same colours.
    pub const MAX: f64 = 10.0;

    /// Makes a tolerance from a ΔE00; `None` outside 0 to 10.
    #[must_use]
    pub fn from_delta_e_00(value: f64) -> Option<Self> {
        (0.0..=Self::MAX).contains(&value).then_some(Self(value))
    }

    /// The tolerance as a ΔE00.
    #[must_use]
    pub const fn to_delta_e_00(self) -> f64 {
        self.0
    }
}

impl Toning {
    /// The highest a* or b*.
    pub const MAX: f64 = 20.0;

    /// Makes a toning; `None` outside −20 to 20.
    #[must_use]
    pub fn new(a: f64, b: f64) -> Option<Self> {
        let within = |axis: f64| (-Self::MAX..=Self::MAX).contains(&axis);
        (within(a) && within(b)).then_some(Self { a, b })
    }

    /// a* at L* 50.
    #[must_use]
    pub const fn a(self) -> f64 {
        self.a
    }

    /// b* at L* 50.
    #[must_use]
    pub const fn b(self) -> f64 {
        self.b
    }

    /// Whether the print is to be left neutral.
    #[must_use]
    pub fn is_neutral(self) -> bool {
        self == Self::default()
    }
}

impl fmt::Display for InkPolicy {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OfSet => out.write_str("black replacement of the ink set"),
            Self::BlackReplacement(share) => {
                write!(out, "black replacement {} %", 100.0 * share.to_fraction())
            }
            Self::LeastInk(tolerance) => write!(out, "least ink within ΔE00 {}", tolerance.0),
            Self::Monochrome(toning) if toning.is_neutral() => {
                out.write_str("monochrome through the black family")
            }
            Self::Monochrome(toning) => write!(
                out,
                "monochrome, toned towards a* {}, b* {} in mid-greys",
                toning.a, toning.b
            ),
        }
    }
}
