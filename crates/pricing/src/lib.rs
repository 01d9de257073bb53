//! From ink to money: price lists, layout on the roll, quotes, routing and payback.
//!
//! [`PriceList::parse`] reads what a studio pays and asks. [`nest`] lays prints out on a roll,
//! [`quote`] prices an order, [`route`] sends each of a month's jobs to the cheapest ink set that
//! holds its colours, and [`pay_back`] says when a machine has earned its price.
//!
//! Money is decimal and exact until a line is rounded, in [`to_minor_unit`] and nowhere else.
//! Whether a set holds a picture's colours comes in as a plain value. Deliberately absent: colour,
//! pictures, and the conversion of currencies.

mod amounts;
mod builtin;
mod error;
mod exact;
mod fault;
mod ink_cost;
mod job_list;
mod lines;
mod monthly_cost;
mod monthly_mix;
mod nesting;
mod order;
mod parse;
mod payback;
mod price_list;
mod quote;
mod read;
mod roll_choice;
mod rounding;
mod routing;
mod running_cost;
mod sensitivity;
mod shares;

pub use builtin::{BuiltInPriceList, builtin_price_list, builtin_price_list_names};
pub use error::{PricingError, Problem};
pub use exact::{Minutes, Percent};
pub use fault::Fault;
pub use job_list::{JobList, ListedJob};
pub use lines::{Basis, Line, LineKind};
pub use monthly_mix::{ColourFit, JobOnSet, MonthlyJob, MonthlyMix, Tolerance};
pub use nesting::{Block, Layout, Piece, Placement, TooBig, nest};
pub use order::{Order, OrderedPicture};
pub use payback::{BreakEven, OldMachine, Payback, PaybackTime, Purchase, pay_back};
pub use price_list::{
    InkPrice, InkPriceRule, LayoutRules, ListProvenance, OverheadInk, Paper, PaperPrice, PriceList,
    Profit, QuantityBreak, Roll, Tax, WorkRate,
};
pub use quote::{PricedRange, Quote, QuotedPicture, quote};
pub use rounding::to_minor_unit;
pub use routing::{MonthlySaving, MonthlyTotal, RoutedChoice, RoutedJob, Routing, route};
pub use running_cost::RunningCost;
pub use sensitivity::{Change, SensitivityRow};
