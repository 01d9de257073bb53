//! The lines that a verdict draws, as the command line writes them.

use clap::Args;
use proof::{ProofError, Thresholds};
use units::Share;

/// Thresholds of verdicts.
#[derive(Debug, Args)]
pub(crate) struct ThresholdArguments {
    /// ΔE00 above which a colour counts as lost, 0 to 10; 1 if not given
    #[arg(long, value_name = "DELTA_E")]
    lost_above: Option<f64>,
    /// Share of the area that a set may lose and still hold the colours; 1 if not given
    #[arg(long, value_name = "PERCENT", value_parser = share)]
    holds_up_to: Option<Share>,
    /// Share of the area that may be lost as a named exception; 10 if not given
    #[arg(long, value_name = "PERCENT", value_parser = share)]
    holds_all_but_up_to: Option<Share>,
}

impl ThresholdArguments {
    /// The thresholds, those not given by default.
    pub(crate) fn thresholds(&self) -> Result<Thresholds, ProofError> {
        let default = Thresholds::default();
        Thresholds::new(
            self.lost_above.unwrap_or(default.lost_above()),
            self.holds_up_to.unwrap_or(default.holds()),
            self.holds_all_but_up_to.unwrap_or(default.holds_all_but()),
        )
    }
}

fn share(text: &str) -> Result<Share, String> {
    let number = text.strip_suffix('%').unwrap_or(text).trim();
    let percent: f64 = number.parse().map_err(|_| format!("`{text}` is not a number"))?;
    Share::from_fraction(percent / 100.0).map_err(|_| format!("{percent} % is outside 0 to 100 %"))
}
