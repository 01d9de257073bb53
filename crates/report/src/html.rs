//! Pages that can be mailed: one file, nothing fetched, readable without script, printable.
//!
//! [`Page`] is the frame with its style; [`parts`] are the pieces that pages are made of. Every
//! text that comes from a file or an ink set is escaped by the macro that builds the page.

mod basis_section;
pub(crate) mod charts;
mod comparison_page;
mod money_charts;
mod monthly_pages;
mod page;
pub(crate) mod parts;
pub(crate) mod picture_section;
mod policy_section;
mod quote_page;

pub use comparison_page::Letter;
pub(crate) use comparison_page::comparison_page;
pub(crate) use monthly_pages::{payback_page, routing_page};
pub(crate) use page::{Page, STYLE, Section};
pub(crate) use quote_page::quote_page;
