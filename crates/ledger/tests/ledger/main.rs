//! The ledger through its public face, and what other programs may do to its file.

#![expect(clippy::unwrap_used, reason = "tests' own functions may panic as tests do")]

mod calibrations;
mod censuses;
mod jobs;
mod opening;
mod support;
mod uploads;
