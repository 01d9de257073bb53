//! Made profiles, opened again by the colour management library.

#![expect(clippy::unwrap_used, reason = "tests' own functions may panic as tests do")]

mod agreement;
