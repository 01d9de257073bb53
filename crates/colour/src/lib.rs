//! Colour as numbers: spectra, tristimulus values, CIELAB and rows of pixels.
//!
//! A [`Spectrum`] is the reflectance in 36 bands, 380 to 730 nm by 10 nm. [`Illuminant`] sums it
//! to [`Xyz`] with the 2° observer, and [`Xyz::to_lab`] turns it into [`Lab`] relative to a white
//! that the caller names: the paper for media-relative colour, the perfect reflecting diffuser
//! for absolute colour.
//!
//! Pictures are described by [`RasterFormat`] and arrive as [`Band`]s of rows from a
//! [`RowSource`].
//!
//! Deliberately absent: inks, files and ICC profiles.

mod adaptation;
mod cube_root;
mod difference;
mod error;
mod illuminant;
mod lab;
mod oklab;
mod raster;
mod smoothest;
mod spectrum;
mod weights;
mod xyz;

pub use cube_root::cube_root;
pub use difference::{delta_e_00, delta_e_ab};
pub use error::ColourError;
pub use illuminant::Illuminant;
pub use lab::Lab;
pub use oklab::Oklab;
pub use raster::{
    Alpha, Band, BitDepth, ColourModel, Damage, Orientation, RasterFormat, RowSource, Samples,
};
pub use spectrum::{BANDS, FIRST_BAND_NM, LAST_BAND_NM, STEP_NM, Spectrum};
pub use xyz::Xyz;
