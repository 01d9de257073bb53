use units::DeviceValue;

use crate::ChartFault;
use crate::number::number;

/// What the names of the samples say.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum SampleNames {
    /// Nothing but which sample it is.
    #[default]
    Labels,
    /// The step of one ink's ramp in percent, 0 being the paper: for files without device columns.
    StepsOf {
        /// The ink.
        ink: String,
    },
}

/// The device value in the name of a sample.
pub(crate) fn step(name: &str) -> Result<DeviceValue, ChartFault> {
    let digits = name.trim().trim_end_matches('%').trim_end();
    number(digits)
        .and_then(|percent| DeviceValue::from_fraction(percent / 100.0).ok())
        .ok_or_else(|| ChartFault::NoStep { name: name.to_owned() })
}
