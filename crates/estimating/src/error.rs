use census::{CensusError, TakingError};
use colour::ColourModel;
use icc::IccError;
use inkset::InkSetError;
use intake::IntakeError;
use picture_files::PictureFileError;
use proof::ProofError;
use separation::SeparationError;
use thiserror::Error;
use units::UnitError;

/// Why there is no estimate, sorted by whose fault it is.
#[derive(Debug, Error)]
pub enum EstimatingError {
    /// Input: the picture can't be read.
    #[error(transparent)]
    Picture(#[from] IntakeError),
    /// Input: the picture can't be counted.
    #[error(transparent)]
    Census(#[from] CensusError),
    /// Input: the profile's colours can't be transformed.
    #[error(transparent)]
    Profile(#[from] IccError),
    /// Input: device values were asked of a picture that has none.
    #[error(
        "device values were asked for, but the picture is {model}; give a CMYK picture, or leave \
         --device-values out"
    )]
    DeviceValuesOf {
        /// The picture's colours.
        model: ColourModel,
    },
    /// Caller: collected colours can't answer.
    #[error("collected colours don't answer for {what}; leave --collected out")]
    NotCollected {
        /// What was asked for.
        what: &'static str,
    },
    /// Caller: device values were asked of a device with other inks.
    #[error(
        "ink set `{set}` does not print with one ink each of cyan, magenta, yellow and black on \
         this substrate; choose one that does for --device-values"
    )]
    NotFourInks {
        /// Name of the set.
        set: String,
    },
    /// Input: neither the job nor the file says how large the print is.
    #[error(
        "the printed size is unknown: the file states no resolution; pass --width or --height, \
         for example --width 60cm"
    )]
    SizeUnknown,
    /// Input: a side of the print that no device makes.
    #[error("a side of the print is {metres} m, outside 0.001 to 100 m; check the size's unit")]
    SizeAbsurd {
        /// The side.
        metres: f64,
    },
    /// Input: a quantity out of its range.
    #[error(transparent)]
    Unit(#[from] UnitError),
    /// Caller: the ink set lacks what was named.
    #[error(transparent)]
    InkSet(#[from] InkSetError),
    /// Caller: a spectrum is wanted of a set that knows none.
    #[error(
        "ink set `{set}` is separated by an output profile and has no print model; spectra need one"
    )]
    NoPrintModel {
        /// The set.
        set: String,
    },
    /// Input: the set's output profile can't be used.
    #[error("the output profile of ink set `{set}`: {cause}")]
    OutputProfile {
        /// The set.
        set: String,
        /// Why the profile is refused.
        cause: IccError,
    },
    /// Input: the output profile drives another number of inks than the set has.
    #[error(
        "the output profile `{profile}` drives {colorants} inks, but ink set `{set}` uses {inks} \
         on `{substrate}`; name a profile made for these inks"
    )]
    ProfileChannels {
        /// Description of the profile.
        profile: String,
        /// How many it drives.
        colorants: usize,
        /// The set.
        set: String,
        /// The substrate, which may leave inks idle.
        substrate: String,
        /// How many inks the set uses on it.
        inks: usize,
    },
    /// Input: the output profile names the set's inks in another order.
    #[error(
        "the output profile `{profile}` drives {colorants}, in this order, but ink set `{set}` has \
         {inks}; put the set's inks in the profile's order"
    )]
    ProfileOrder {
        /// Description of the profile.
        profile: String,
        /// Its colorants in their order.
        colorants: String,
        /// The set.
        set: String,
        /// The set's inks, or their families, in their order.
        inks: String,
    },
    /// Caller: the set names an output profile whose bytes were not handed over.
    #[error("ink set `{set}` separates by an output profile; hand over the profile's bytes")]
    OutputProfileMissing {
        /// The set.
        set: String,
    },
    /// Caller: a set that an output profile separates has no separation of its own to write.
    #[error(
        "ink set `{set}` separates by an output profile already; name a set with settings for a \
         built separation"
    )]
    SeparatedByProfile {
        /// The set.
        set: String,
    },
    /// Output: a picture file can't be written.
    #[error(transparent)]
    PictureFile(#[from] PictureFileError),
    /// Caller: a proof that can't be made.
    #[error(transparent)]
    Proof(#[from] ProofError),
    /// Caller: a calibration of other inks.
    #[error(
        "calibration {label} is of the inks {of}, and ink set `{ink_set}` has {has}; fit it anew, or \
         pass --no-calibration"
    )]
    CalibrationOfOtherInks {
        /// Name and version of the calibration.
        label: String,
        /// Its inks.
        of: String,
        /// The ink set.
        ink_set: String,
        /// The ink set's inks.
        has: String,
    },
    /// Caller: a calibration of another print mode or ink set.
    #[error(
        "calibration {label} is of {of}, not of {wanted}; choose another, or pass --no-calibration"
    )]
    CalibrationOfOtherDevice {
        /// Name and version of the calibration.
        label: String,
        /// Its ink set and print mode.
        of: String,
        /// The ink set and print mode that are to be estimated.
        wanted: String,
    },
    /// Input: the ink set can't be separated.
    #[error(transparent)]
    Separation(#[from] SeparationError),
}

impl From<TakingError<IntakeError>> for EstimatingError {
    fn from(error: TakingError<IntakeError>) -> Self {
        match error {
            TakingError::Source(source) => Self::Picture(source),
            TakingError::Census(census) => Self::Census(census),
        }
    }
}
