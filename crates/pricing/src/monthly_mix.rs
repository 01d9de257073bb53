use std::num::NonZeroU32;

use inkset::InkSet;

use crate::{OrderedPicture, PriceList};

/// What a studio prints in a month, and what it takes on each of some ink sets.
#[derive(Clone, Debug)]
pub struct MonthlyMix<'mix> {
    /// What ink costs.
    pub list: &'mix PriceList,
    /// The ink sets; each job tells its ink for all of them, in this order.
    pub sets: Vec<&'mix InkSet>,
    /// Tolerances for which each job tells what it loses, in rising order.
    pub tolerances: Vec<Tolerance>,
    /// The jobs.
    pub jobs: Vec<MonthlyJob>,
}

/// How far a print may differ from the wanted colours: a plain figure here, ΔE00 to whoever judged
/// the colours.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Tolerance(f64);

/// A picture that is printed every month.
#[derive(Clone, Debug, PartialEq)]
pub struct MonthlyJob {
    /// In how many orders the copies of a month are printed.
    pub orders: NonZeroU32,
    /// The job on each set.
    pub on: Vec<JobOnSet>,
}

/// A job on one ink set.
#[derive(Clone, Debug, PartialEq)]
pub struct JobOnSet {
    /// The picture with the ink of a month's copies.
    pub picture: OrderedPicture,
    /// What becomes of its colours, for each tolerance.
    pub fits: Vec<ColourFit>,
}

/// What a set makes of a picture's colours at some tolerance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ColourFit {
    /// Whether it holds them.
    pub holds: bool,
    /// How much is lost, by any measure that is the same for all sets; less is better.
    pub loss: f64,
}

impl Tolerance {
    /// None at all.
    pub const NONE: Self = Self(0.0);

    /// A tolerance; `None` for a number that is none.
    #[must_use]
    pub fn new(difference: f64) -> Option<Self> {
        (difference.is_finite() && difference >= 0.0).then_some(Self(difference))
    }

    /// The figure.
    #[must_use]
    pub const fn to_difference(self) -> f64 {
        self.0
    }
}
