use std::num::NonZeroU32;

use units::Length;

use crate::PricingError;
use crate::read::read_jobs;

/// What a studio prints in a month.
#[derive(Clone, Debug, PartialEq)]
pub struct JobList {
    /// The jobs in the order of the file; one at least.
    pub jobs: Vec<ListedJob>,
}

/// A picture that is printed every month.
#[derive(Clone, Debug, PartialEq)]
pub struct ListedJob {
    /// Its name.
    pub name: String,
    /// Path of the picture, as written.
    pub file: String,
    /// Wanted width.
    pub width: Option<Length>,
    /// Wanted height.
    pub height: Option<Length>,
    /// Prints of a month.
    pub copies_per_month: NonZeroU32,
    /// In how many orders they are printed; each pays a start-up.
    pub orders_per_month: NonZeroU32,
}

impl JobList {
    /// Reads a list from TOML text, strictly; `origin` is the file name that messages carry.
    ///
    /// # Errors
    ///
    /// [`PricingError::Faulty`] with every fault that one reading finds.
    pub fn parse(text: &str, origin: &str) -> Result<Self, PricingError> {
        let read = strict_toml::read(text, origin, read_jobs);
        read.map(|read| read.value).map_err(|problems| PricingError::Faulty { problems })
    }
}
