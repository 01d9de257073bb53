//! Pages that can be mailed: one file, nothing fetched, readable without script, printable.
//!
//! [`Page`] is the frame with its style; [`parts`] are the pieces that pages are made of. Every
//! text that comes from a file or an ink set is escaped by the macro that builds the page.

mod page;
pub(crate) mod parts;

pub(crate) use page::{Page, Section};
