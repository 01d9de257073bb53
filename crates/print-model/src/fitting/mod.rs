//! Fitting: from a measured chart to an ink set that predicts it.
//!
//! 1. [`sheet`] gathers the patches, 2. [`suspects`] sets aside what can't have been read right,
//! [`lines`] tell it what neighbours suggest; 3. [`levels`] finds at which amounts the chart holds all combinations, 4. [`ramps`] turns
//! single-ink ramps into effective-coverage curves, [`overprints`] estimates those that the chart lacks; 5. [`search`] finds the ramp law and its n,
//! 6. [`accuracy`] holds prediction against measurement, also of patches left out.

pub(crate) mod accuracy;
pub(crate) mod fit;
pub(crate) mod fit_error;
pub(crate) mod levels;
pub(crate) mod lines;
pub(crate) mod measured_set;
pub(crate) mod overprints;
pub(crate) mod ramps;
pub(crate) mod search;
pub(crate) mod sheet;
pub(crate) mod suspects;
