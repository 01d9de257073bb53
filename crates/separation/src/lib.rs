//! The inverse model: media-relative colours in, channel coverages out.
//!
//! A lattice over a cube of colours holds the amounts of the ink families that print each node's
//! colour, found by damped Gauss–Newton on the print model ([`SeparationInputs::build`]).
//! Evaluating a colour interpolates amounts, splits them among light and dark inks, and enforces
//! every limit on the channels ([`Limits::enforce`]).
//!
//! Deliberately absent: pictures and prices.

mod build;
mod channel_coverages;
mod colour_residual;
mod dual;
mod error;
mod family_split;
mod family_tints;
mod gamut_boundary;
mod gamut_compression;
mod graininess;
mod ink_policy;
mod inverse;
mod lattice;
mod limits;
mod normal_equations;
mod policy;
mod recipe;
mod rendering;
mod separating;
mod separation;
mod separation_inputs;
mod stored;
mod tone_ramp;

pub use channel_coverages::{ChannelCoverages, MAX_CHANNELS};
pub use error::SeparationError;
pub use gamut_boundary::GamutBoundary;
pub use gamut_compression::GamutCompression;
pub use ink_policy::{ColourTolerance, InkPolicy, Toning};
pub use lattice::{LATTICE_FROM_XYZ, lattice_colour};
pub use limits::Limits;
pub use rendering::Rendering;
pub use separating::{Separating, is_bare};
pub use separation::{Separated, Separation};
pub use separation_inputs::{SeparationInputs, SeparationKey};
