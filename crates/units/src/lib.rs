//! Physical quantities as types: a length can't be added to a volume, and a device value is
//! never mistaken for a coverage.
//!
//! Every constructor refuses NaN and values outside the documented range; nothing is repaired
//! silently. Arithmetic exists only where the product means something, for example
//! [`LayDown`] × [`Area`] = [`Volume`].
//!
//! Three quantities that are written as percentages and must never be mixed have three types:
//! [`DeviceValue`] (what a file says), [`Coverage`] (share of the full drop volume that is
//! fired; the only one that is dosed) and [`EffectiveCoverage`] (what the eye sees of it).
//!
//! Deliberately absent: a quantity without a unit, and conversions between the three above.

mod area;
mod dots;
mod drop_volume;
mod error;
mod lay_down;
mod length;
mod money;
mod quantity;
mod reflectance;
mod share;
mod volume;

pub use area::Area;
pub use dots::DotsPerInch;
pub use drop_volume::DropVolume;
pub use error::UnitError;
pub use lay_down::{LayDown, Load};
pub use length::Length;
pub use money::Money;
pub use reflectance::Reflectance;
pub use share::{Coverage, DeviceValue, EffectiveCoverage, Share, TotalAreaCoverage};
pub use volume::Volume;
