//! A printer that exists in tests alone, to be learned by calibrations that don't know it.
//!
//! It separates every pixel of a picture, diffuses the error of each channel over the cells of the
//! print mode into drops of up to three sizes, and counts the drops ([`print()`]). A
//! [`HiddenDevice`] turns counts into the millilitres that a machine would report. Nothing here
//! comes from `dosing`, and no census takes part.

mod dice;
mod error_diffusion;
mod hidden_device;
mod printed_drops;

pub use dice::Dice;
pub use error_diffusion::diffuse;
pub use hidden_device::{HiddenDevice, rounded};
pub use printed_drops::{PrintedDrops, print};
