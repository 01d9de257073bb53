//! Laying prints out on a roll. Lengths inside are whole micrometres, so that the same order gives
//! the same layout on every machine.

mod layout;
mod nest;
mod order_search;
mod packing;
mod rows;
mod single_kind;
mod strip;

pub use layout::{Block, Layout, Placement};
pub use nest::{Piece, TooBig, nest};
