//! What pages of other rooms are made of, so that they look and speak as reports do.

pub use crate::estimate_table::{millilitres, printed_size, range};
pub use crate::html::charts::{InkBar, difference_key, ink_bars};
pub use crate::html::parts::{Fact, SAFETY, chart, facts, figure, notes, swatch, table};
pub use crate::html::picture_section::standing;

/// The style sheet of every report; light, for screens and paper.
pub const STYLE: &str = crate::html::STYLE;
