//! Made profiles, opened again by the colour management library.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "tests' own functions may panic as tests do, and print figures for the guide"
)]

mod agreement;
