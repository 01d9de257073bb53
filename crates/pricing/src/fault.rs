use strict_toml::FormatFault;
use thiserror::Error;

/// What can be wrong at a place in the text of a price list or a list of jobs.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum Fault {
    /// What any strictly read text may get wrong.
    #[error(transparent)]
    Format(#[from] FormatFault),
    /// Ink priced in two ways, or in none.
    #[error("states {found}; write either price_per_litre, or cartridge_ml with cartridge_price")]
    InkPrice {
        /// What was found.
        found: &'static str,
    },
    /// Paper priced in two ways, or in none.
    #[error(
        "has {found}; write price_per_m2 for the paper, or price_per_running_m for each of its \
         rolls"
    )]
    PaperPrice {
        /// What was found.
        found: &'static str,
    },
    /// Margin and markup, or neither.
    #[error(
        "states {found}; write either margin_percent (of the price) or markup_percent (of the cost)"
    )]
    Profit {
        /// What was found.
        found: &'static str,
    },
    /// Roll with side margins that leave nothing of it.
    #[error(
        "is {width} cm, of which side margins of {margin} mm at either side leave nothing; write a \
         wider roll or lower side_margin_mm"
    )]
    NothingBetweenMargins {
        /// Its width in centimetres.
        width: f64,
        /// The side margin in millimetres.
        margin: f64,
    },
    /// Quantity breaks that don't rise.
    #[error(
        "is {copies} after {before} in line {before_line}; write breaks in rising order, each number of copies once"
    )]
    BreaksOutOfOrder {
        /// The number of copies.
        copies: u32,
        /// That of the break before.
        before: u32,
        /// The line of the break before.
        before_line: usize,
    },
    /// A discount that falls as copies rise.
    #[error(
        "is {discount} % after {before} % for fewer copies in line {before_line}; write discounts that never \
         fall"
    )]
    DiscountFalls {
        /// The discount in percent.
        discount: String,
        /// That of the break before.
        before: String,
        /// The line of the break before.
        before_line: usize,
    },
    /// A currency whose amounts can't be rounded.
    #[error("is {code}, which has no minor unit in ISO 4217; write a currency that is paid with")]
    NoMinorUnit {
        /// The code.
        code: &'static str,
    },
}
