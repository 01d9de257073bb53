//! Inks, families, substrates, print modes and machines, read from strict TOML.
//!
//! [`InkSet::parse`] reads a text, or says every fault of it with line, value, range and remedy.
//! [`builtin`] holds three invented sets; copying one means copying its text.
//!
//! ```
//! # use inkfathom_inkset as inkset;
//! let parsed = inkset::builtin("nine").expect("it is built in").parse()?;
//! let paper = parsed.set.substrate(Some("matte art paper"))?;
//! let cyan = &parsed.set.families(paper)[0];
//! assert_eq!(cyan.channels, [5, 0]); // light cyan, then cyan
//! # Ok::<(), inkset::InkSetError>(())
//! ```
//!
//! Deliberately absent: pictures, and any prediction of colour.

mod builtin;
mod device_curve;
mod error;
mod fault;
mod fingerprint;
mod ink;
mod ink_set;
mod lookup;
mod machine;
mod notice;
mod parse;
mod print_mode;
mod read;
mod separation_defaults;
mod strength;
mod substrate;
mod summary;
mod write;

pub use builtin::{BuiltIn, builtin, builtin_names};
pub use device_curve::DeviceCurve;
pub use error::{InkSetError, Problem};
pub use fault::Fault;
pub use fingerprint::Fingerprint;
pub use ink::{Backing, Cartridge, Ink, MeasurementCondition, Provenance, Solid, SolidSpectrum};
pub use ink_set::{BLACK_FAMILY, Coverages, Family, InkSet};
pub use machine::{Heads, MachineFacts};
pub use notice::{Notice, Remark};
pub use parse::ParsedInkSet;
pub use print_mode::{DropMix, DropMixRow, PrintMode};
pub use separation_defaults::{BuiltSeparation, SeparationDefaults};
pub use strict_toml::{FormatFault, Place, nearest_name};
pub use substrate::{
    EffectiveCoverageCurve, EffectiveValues, MeasuredPrimary, MixedBands, RampLaw, Substrate,
};
pub use summary::{InkSetSummary, InkSummary, PrintModeSummary, SubstrateSummary};
