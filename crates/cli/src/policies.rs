//! Ink policies as the command line writes them.

use separation::{ColourTolerance, InkPolicy, Toning};
use units::Share;

/// Reads a black replacement in percent.
pub(crate) fn black_replacement(text: &str) -> Result<InkPolicy, String> {
    let percent = number(text.strip_suffix('%').unwrap_or(text))?;
    Share::from_fraction(percent / 100.0)
        .map(InkPolicy::BlackReplacement)
        .map_err(|_| format!("{percent} % is outside 0 to 100 %"))
}

/// Reads a tolerance in ΔE00.
pub(crate) fn least_ink(text: &str) -> Result<InkPolicy, String> {
    let delta_e = number(text)?;
    ColourTolerance::from_delta_e_00(delta_e)
        .map(InkPolicy::LeastInk)
        .ok_or_else(|| format!("{delta_e} is outside 0 to {}", ColourTolerance::MAX))
}

/// Reads a toning as a* and b*.
pub(crate) fn monochrome(text: &str) -> Result<InkPolicy, String> {
    let (a, b) = text.split_once(',').ok_or("write a* and b* with a comma, for example 2,6")?;
    let (a, b) = (number(a)?, number(b)?);
    Toning::new(a, b)
        .map(InkPolicy::Monochrome)
        .ok_or_else(|| format!("{a}, {b} is outside -{0} to {0}", Toning::MAX))
}

/// The number of a text.
pub(crate) fn number(text: &str) -> Result<f64, String> {
    text.trim().parse().map_err(|_| format!("`{text}` is not a number"))
}
