//! ICC profiles: from the encoded colours of a picture to colours that inks can be asked for.
//!
//! A [`SourceProfile`] says what the numbers of a picture mean; it comes from the file or is
//! built in. A [`SourceTransform`] takes encoded colours to CIELAB of the profile connection
//! space (D50), in floating point and without shortcuts: exact and slow, for the thousands of
//! colours of a census and not for millions of pixels.
//!
//! ```
//! use inkfathom_icc::{RenderingIntent, SourceProfile, SourceTransform};
//!
//! let profile = SourceProfile::srgb();
//! let transform = SourceTransform::new(&profile, RenderingIntent::RelativeColorimetric)?;
//! let colours = transform.to_lab(&[1.0, 1.0, 1.0, 0.5, 0.5, 0.5])?;
//! assert!((colours[0].l - 100.0).abs() < 1e-3);
//! assert!((colours[1].l - 53.389).abs() < 1e-3);
//! # Ok::<(), inkfathom_icc::IccError>(())
//! ```
//!
//! An [`OutputProfile`] says which device values print a colour; its [`OutputTransform`] takes
//! CIELAB to device values and back. Which ink a device value belongs to, and how much of it is
//! fired, is not its business.
//!
//! All calls of the colour management library are in this crate. It is told nothing that it
//! could print, and sees no profile whose header has not been checked.
//!
//! Deliberately absent: inks by name, and black-point compensation, for which
//! [`SourceTransform::black_point`] only gives the source's side.

mod characterisation;
mod device_space;
mod error;
mod exact;
mod new_output_profile;
mod output_profile;
mod output_transform;
mod pcs;
mod profile_bytes;
mod profile_header;
mod profile_tables;
mod profile_tags;
mod rendering_intent;
mod source_profile;
mod source_transform;
mod srgb_file;

pub use device_space::DeviceSpace;
pub use error::IccError;
pub use new_output_profile::NewOutputProfile;
pub use output_profile::OutputProfile;
pub use output_transform::OutputTransform;
pub use profile_tables::{ForwardTables, GridTable, InverseTables, ProfileCurve, ProfileMatrix};
pub use rendering_intent::RenderingIntent;
pub use source_profile::{MOST_PROFILE_BYTES, SourceProfile};
pub use source_transform::SourceTransform;
pub use srgb_file::srgb_profile_bytes;
