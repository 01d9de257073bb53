//! Evidence for a decision: what a print would look like, and whether an ink set holds a
//! picture's colours.
//!
//! 1. A [`ProofPress`] prints single colours by prediction, from the *channels* after splitting and
//!    limits.
//! 2. [`Verdict`] gathers the colours of a census into figures: the share of the area outside the
//!    gamut, colour differences against the one target that no set moves, the same after
//!    black-point compensation, the regions of colour that are lost, and how much the print
//!    changes from daylight to lamplight. [`SetChoice`] says which of several sets a picture needs.
//!
//! 3. [`PreviewProof`] does the same for a preview: soft proofs as a [`Viewing`] shows them, and
//!    [`maps`] of differences, ink load and single inks, as pictures for a screen.
//!
//! Deliberately absent: prices, and reading or writing files.

mod colour_region;
mod difference_statistics;
mod error;
mod load_histogram;
mod lost_places;
pub mod maps;
mod preview_lattice;
mod preview_proof;
mod preview_sample;
mod proof_press;
mod screen;
mod sentence;
mod set_choice;
mod thresholds;
mod verdict;
mod viewing;

pub use colour_region::ColourRegion;
pub use difference_statistics::DifferenceStatistics;
pub use error::ProofError;
pub use load_histogram::LoadHistogram;
pub use lost_places::LostPlaces;
pub use preview_proof::{Fineness, PreviewColours, PreviewProof, ProofPixel};
pub use preview_sample::PreviewSample;
pub use proof_press::{ProofPress, ProvedColour, WantedColour};
pub use screen::{ScreenPicture, to_srgb};
pub use set_choice::{JudgedSet, SetChoice};
pub use thresholds::Thresholds;
pub use verdict::{AfterCompensation, Holding, Inconstancy, LostRegion, Verdict};
pub use viewing::{PaperWhite, Viewing};
