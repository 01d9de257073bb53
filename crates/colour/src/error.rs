use thiserror::Error;

use crate::{FIRST_BAND_NM, LAST_BAND_NM};

/// Why numbers are not a spectrum. All variants are the fault of the input.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum ColourError {
    /// A band lies outside the range of a reflectance.
    #[error("reflectance at {nanometres} nm is {value}, outside 0 to 1.3")]
    ReflectanceOutOfRange {
        /// The wavelength of the band.
        nanometres: f64,
        /// The value that was refused.
        value: f64,
    },
    /// Tristimulus values that no reflectance between 0 and 1.3 adds up to.
    #[error(
        "X {x}, Y {y}, Z {z} is no colour of a surface under D50; give X, Y and Z from 0 to 100, \
         measured for D50 and the 2° observer"
    )]
    NotASurface {
        /// X as given.
        x: f64,
        /// Y as given.
        y: f64,
        /// Z as given.
        z: f64,
    },
    /// The samples don't reach over the visible range, or there are too few of them.
    #[error(
        "{count} samples from {first} nm by {step} nm don't cover {FIRST_BAND_NM} to \
         {LAST_BAND_NM} nm; give samples over that range, every 20 nm or finer"
    )]
    GridTooNarrow {
        /// The wavelength of the first sample in nanometres.
        first: f64,
        /// The distance between samples in nanometres.
        step: f64,
        /// How many samples there are.
        count: usize,
    },
}
