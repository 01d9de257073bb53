use clap::Args;
use estimating::{RenderingChoice, SizeRequest};
use separation::InkPolicy;
use units::Length;

use crate::arguments::Intent;
use crate::policies;
use crate::shell_error::ShellError;

/// How pictures are printed, whatever is asked about them.
#[derive(Debug, Args)]
pub(crate) struct PrintArguments {
    /// Printed width, for example 60cm, 600mm, 0.6m or 24in
    #[arg(long, value_name = "LENGTH")]
    pub(crate) width: Option<Length>,
    /// Printed height; with --width the picture is fitted inside both
    #[arg(long, value_name = "LENGTH")]
    pub(crate) height: Option<Length>,
    #[command(flatten)]
    pub(crate) device: DeviceArguments,
    #[command(flatten)]
    rendering: RenderingArguments,
}

/// How colours outside the set's reach are met.
#[derive(Debug, Args)]
pub(crate) struct RenderingArguments {
    /// How colours that the ink set can't print are met
    #[arg(long, value_enum, default_value_t)]
    intent: Intent,
    /// Clip shadows that are darker than the ink set's black, in place of compensating
    #[arg(long)]
    no_black_point_compensation: bool,
}

/// What of an ink set is used, and by which rule.
#[derive(Debug, Args)]
pub(crate) struct DeviceArguments {
    /// Substrate of the ink set; its first one if not given
    #[arg(long, value_name = "NAME")]
    pub(crate) substrate: Option<String>,
    /// Print mode of the ink set; its first one if not given
    #[arg(long, value_name = "NAME")]
    pub(crate) print_mode: Option<String>,
    /// Share of a neutral's possible black that is used, 0 to 100; the ink set's if not given
    #[arg(long, value_name = "PERCENT", value_parser = policies::black_replacement, group = "policy")]
    pub(crate) black_replacement: Option<InkPolicy>,
    /// Take the least ink that keeps every colour within this ΔE00 of what the set can print
    #[arg(long, value_name = "DELTA_E", value_parser = policies::least_ink, group = "policy")]
    pub(crate) least_ink: Option<InkPolicy>,
    /// Print lightness alone, through black and grey; with a toning `a*,b*` of the mid-greys
    #[arg(
        long, value_name = "A,B", value_parser = policies::monochrome, group = "policy",
        num_args = 0..=1, default_missing_value = "0,0", require_equals = true
    )]
    pub(crate) monochrome: Option<InkPolicy>,
    /// Build separations anew, and keep none for later
    #[arg(long)]
    pub(crate) no_cache: bool,
}

impl PrintArguments {
    /// The size that is asked for.
    pub(crate) const fn size(&self) -> SizeRequest {
        SizeRequest { width: self.width, height: self.height }
    }

    /// The rendering that is asked for.
    pub(crate) fn rendering(&self) -> Result<RenderingChoice, ShellError> {
        self.rendering.choice()
    }
}

impl RenderingArguments {
    /// The rendering that the two options name together.
    pub(crate) fn choice(&self) -> Result<RenderingChoice, ShellError> {
        match (self.intent, self.no_black_point_compensation) {
            (Intent::Relative, false) => Ok(RenderingChoice::Relative),
            (Intent::Relative, true) => Ok(RenderingChoice::RelativeUncompensated),
            (Intent::Perceptual, false) => Ok(RenderingChoice::Perceptual),
            (Intent::Absolute, false) => Ok(RenderingChoice::Absolute),
            (Intent::Perceptual | Intent::Absolute, true) => {
                Err(ShellError::CompensationOfOtherIntent)
            }
        }
    }
}

impl DeviceArguments {
    /// The rule for the separation; at most one is given.
    pub(crate) fn policy(&self) -> InkPolicy {
        self.black_replacement.or(self.least_ink).or(self.monochrome).unwrap_or_default()
    }
}
