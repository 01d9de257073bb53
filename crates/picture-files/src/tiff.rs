//! Writes TIFF 6.0, in its 64-bit form where 32-bit places might not reach.

mod directory;
mod layout;
mod rows;

pub use layout::{MOST_INKS, TiffColour, TiffPicture, lab_samples};
pub use rows::TiffRows;
