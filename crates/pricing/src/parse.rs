use crate::read::read_list;
use crate::{PriceList, PricingError};

impl PriceList {
    /// Reads a list from TOML text, strictly; `origin` is the file name that messages carry. The
    /// annotated example in the crate's folder shows every key.
    ///
    /// # Errors
    ///
    /// [`PricingError::Faulty`] with every fault that one reading finds, up to a hundred: each
    /// with its line, key, value, allowed range and remedy.
    pub fn parse(text: &str, origin: &str) -> Result<Self, PricingError> {
        let read = strict_toml::read(text, origin, read_list);
        read.map(|read| read.value).map_err(|problems| PricingError::Faulty { problems })
    }
}
