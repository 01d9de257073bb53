//! A built separation as an ICC output profile, for programs that know no ink sets.
//!
//! [`ProfileMaking::profile`] samples the print model over a grid of device values, and the
//! separation over a grid of colours. The tables' curves carry what is curved, so that few nodes
//! do: a colorant's axis runs evenly in the tone that it prints alone, colours are mixed in the
//! compressed reflectance in which halftones mix, and the axes of colour are those on which the
//! separation itself interpolates.
//!
//! Deliberately absent: pictures, reading profiles, bytes.

mod colorants;
mod forward;
mod inverse;
mod profile_making;
mod reference_medium;

pub use profile_making::ProfileMaking;
