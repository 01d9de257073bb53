use thiserror::Error;

/// Something about a readable ink set that a report should repeat.
pub type Notice = strict_toml::Notice<Remark>;

/// What a [`Notice`] says, continuing the name of its key.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum Remark {
    /// A reflectance above 1 where optical brighteners shine.
    #[error("is {value} at {nanometres} nm: brightener: colour inconstancy is unreliable")]
    Brightener {
        /// The highest reflectance.
        value: f64,
        /// Its wavelength.
        nanometres: f64,
    },
    /// A reflectance above 1 elsewhere.
    #[error(
        "is {value} at {nanometres} nm, more than the perfect diffuser: it fluoresces, or the \
         instrument's white calibration is off"
    )]
    MoreThanDiffuser {
        /// The highest reflectance.
        value: f64,
        /// Its wavelength.
        nanometres: f64,
    },
    /// A stated strength that the measured solid contradicts.
    #[error(
        "is {stated:.0} %, but the spectrum shows {measured:.0} %, which differs by more than \
         {tolerance:.0} % of the larger; the spectrum is used"
    )]
    StrengthDisagrees {
        /// The stated strength in percent.
        stated: f64,
        /// The measured strength in percent.
        measured: f64,
        /// The allowed disagreement in percent of the larger of the two.
        tolerance: f64,
    },
    /// A print mode with stated lay-down and no drop sizes.
    #[error("states no drop volumes: volume is taken as proportional to coverage")]
    DropSizesUnknown,
}
