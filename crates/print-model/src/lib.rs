//! The forward model: coverages of inks in, reflectance spectrum and CIELAB out.
//!
//! 1. The inks of a family combine into one *tint*: an effective amount for each wavelength
//!    band ([`BandAmounts`]), such that the family printed alone has its own ramp
//!    exactly. Dots of different inks are assumed to fall independently of each other.
//! 2. [`demichel`]'s equations give the shares of the 2^F overprints of F families.
//! 3. [`yule_nielsen`] mixes their reflectances: R^(1/n) = Σ share × R_p^(1/n). Where patches of
//!    partly printed families were measured, it does so inside the cell between neighbouring
//!    patches (a cellular model).
//!
//! Overprints that nobody measured are predicted from the solids by adding Kubelka–Munk ratios
//! relative to the paper ([`kubelka_munk`]). Multiplying transmittances missed measured overprints by
//! about four times as much (see `tests/reference/README.md`).
//!
//! Deliberately absent: separation, limits and volumes.

mod cells;
pub mod demichel;
mod error;
mod family_ramp;
mod fitting;
pub mod kubelka_munk;
mod light_bands;
mod mixing_scale;
mod model;
mod primaries;
mod solids;
pub mod yule_nielsen;

pub use error::PrintModelError;
pub use family_ramp::BandAmounts;
pub use fitting::accuracy::Accuracy;
pub use fitting::fit::{Fit, FittedModel, WorstPatch};
pub use fitting::fit_error::FitError;
pub use fitting::light_inks::LightInksFit;
pub use fitting::measured_set::FitRequest;
pub use fitting::suspects::Suspect;
pub use model::{MODEL, Mixture, PrintModel};
