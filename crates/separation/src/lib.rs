//! The inverse model: media-relative colours in, channel coverages out.
//!
//! A lattice over a cube of colours holds the amounts of the ink families that print each node's
//! colour, found by damped Gauss–Newton on the print model ([`Separation::build`]). Evaluating a
//! colour interpolates amounts, splits them among light and dark inks, and enforces every limit
//! on the channels ([`Limits::enforce`]).
//!
//! Deliberately absent: pictures and prices.

mod build;
mod channel_coverages;
mod colour_residual;
mod dual;
mod error;
mod family_split;
mod graininess;
mod inverse;
mod lattice;
mod limits;
mod normal_equations;
mod policy;
mod recipe;
mod rendering;
mod separation;
mod tone_ramp;

pub use channel_coverages::{ChannelCoverages, MAX_CHANNELS};
pub use error::SeparationError;
pub use limits::Limits;
pub use rendering::Rendering;
pub use separation::{Separated, Separation};
