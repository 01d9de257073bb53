use crate::{PriceList, PricingError};

/// A price list that comes with the program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BuiltInPriceList {
    /// Its name.
    pub name: &'static str,
    /// Its TOML text, for copying.
    pub text: &'static str,
}

const BUILT_IN: [BuiltInPriceList; 1] =
    [BuiltInPriceList { name: "demo", text: include_str!("../lists/demo.toml") }];

impl BuiltInPriceList {
    /// Reads the list.
    ///
    /// # Errors
    ///
    /// None in practice: a test reads every built-in list.
    pub fn parse(&self) -> Result<PriceList, PricingError> {
        PriceList::parse(self.text, &format!("built-in price list {}", self.name))
    }
}

/// The built-in price list of this name.
#[must_use]
pub fn builtin_price_list(name: &str) -> Option<BuiltInPriceList> {
    BUILT_IN.into_iter().find(|list| list.name == name)
}

/// Names of the built-in price lists.
pub fn builtin_price_list_names() -> impl Iterator<Item = &'static str> {
    BUILT_IN.into_iter().map(|list| list.name)
}
