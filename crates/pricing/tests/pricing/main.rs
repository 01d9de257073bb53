//! Price lists, layout on the roll, quotes, routing and payback, from outside.

#![expect(clippy::unwrap_used, reason = "tests' own functions may panic as tests do")]

mod faults;
mod nesting;
mod optimum;
mod payback;
mod properties;
mod quotes;
mod routing;
mod support;
