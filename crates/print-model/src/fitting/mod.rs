//! Fitting: from a measured chart to an ink set that predicts it.
//!
//! - [`sheet`] gathers the patches;
//! - [`suspects`] sets aside what can't have been read right, [`lines`] tell it what a patch's
//!   neighbours suggest;
//! - [`levels`] finds at which amounts the chart holds all combinations;
//! - [`ramps`] turns single-ink ramps into effective-coverage curves;
//! - [`overprints`] estimates the overprints that the chart lacks;
//! - [`measured_set`] puts an ink set together;
//! - [`light_inks`] tells light inks apart and adds them to the set of the full-strength ones;
//! - [`search`] finds the ramp law and its n;
//! - [`accuracy`] sums up how far prediction and measurement differ;
//! - [`fit`] does all of it in order.

pub(crate) mod accuracy;
pub(crate) mod fit;
pub(crate) mod fit_error;
pub(crate) mod levels;
pub(crate) mod light_inks;
pub(crate) mod lines;
pub(crate) mod measured_set;
pub(crate) mod overprints;
pub(crate) mod ramps;
pub(crate) mod search;
pub(crate) mod sheet;
pub(crate) mod suspects;
