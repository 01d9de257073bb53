use colour::{ColourModel, Lab};
use thiserror::Error;

use crate::RenderingIntent;

/// Why a profile can't be used, or a colour not be transformed.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum IccError {
    // The profile's fault.
    /// The bytes are not an ICC profile, or have changed or been cut.
    #[error("damaged ICC profile: {detail}; export the picture with a sound one")]
    Damaged {
        /// What does not fit.
        detail: String,
    },
    /// The profile is for another colour model than the picture's.
    #[error(
        "the picture is {expected} but its ICC profile is for `{found}` colours; export the \
         picture with a profile of its own colours"
    )]
    WrongModel {
        /// Model of the picture.
        expected: ColourModel,
        /// Colour space of the profile as it names it.
        found: String,
    },
    /// The profile does not describe a device or a colour space.
    #[error(
        "an ICC profile of class `{found}` can't be the source of a picture; input, display, \
         output and colour space profiles can"
    )]
    WrongClass {
        /// Class of the profile as it names it.
        found: String,
    },
    /// The profile does not describe a printing device.
    #[error(
        "an ICC profile of class `{found}` can't separate; name an output profile, which is of \
         class `prtr`"
    )]
    NoOutputProfile {
        /// Class of the profile as it names it.
        found: String,
    },
    /// The output profile is for colours that are no inks, or for too many inks.
    #[error(
        "an output profile for `{found}` colours can't separate; name one for CMYK or for 1 to \
         {most} inks"
    )]
    NotInks {
        /// Colour space of the profile as it names it.
        found: String,
        /// The most inks that are read.
        most: usize,
    },
    /// The output profile lacks a direction, or gives something else than numbers.
    #[error(
        "the output profile `{profile}` can't be used for {intent} rendering; name one with tables \
         in both directions"
    )]
    NoOutputTables {
        /// Description of the profile.
        profile: String,
        /// The intent that was asked for.
        intent: RenderingIntent,
    },
    /// The profile lacks what a transform to CIELAB needs.
    #[error(
        "the ICC profile `{profile}` can't be used for {intent} rendering; choose another intent or profile"
    )]
    Unusable {
        /// Description of the profile.
        profile: String,
        /// The intent that was asked for.
        intent: RenderingIntent,
    },
    /// The profile gives a colour that nothing has.
    #[error(
        "the ICC profile `{profile}` gives the colour {colour}, which is none; export the picture with a sound one"
    )]
    ImpossibleColour {
        /// Description of the profile.
        profile: String,
        /// What the profile gave.
        colour: Lab,
    },

    // The caller's fault.
    /// A sample of an encoded colour is no fraction.
    #[error("a sample of an encoded colour is {sample}, outside 0 to 1")]
    SampleOutOfRange {
        /// The value that was refused.
        sample: f64,
    },
    /// The samples are not whole colours.
    #[error("{samples} samples are not whole {model} colours")]
    CutColour {
        /// How many samples there are.
        samples: usize,
        /// What the samples should mean.
        model: ColourModel,
    },
    /// A colour to be encoded is none.
    #[error("the colour {colour} can't be encoded; L*, a* and b* must lie within ±1000")]
    NotAColour {
        /// The colour that was refused.
        colour: Lab,
    },

    // Limits.
    /// More bytes than a profile has.
    #[error("an ICC profile of {bytes} bytes is above the limit of {limit}; remove it")]
    TooLarge {
        /// Size of the profile.
        bytes: usize,
        /// The largest that is read.
        limit: usize,
    },

    // Not supported.
    /// A colour model that is not read yet.
    #[error(
        "an ICC profile of {model} colours has no source transform; convert the picture to RGB"
    )]
    UnsupportedModel {
        /// The colour model.
        model: ColourModel,
    },
    /// A profile for colours that no picture is read in.
    #[error("an ICC profile for `{found}` colours is not read; choose one for RGB, gray or CMYK")]
    UnsupportedSpace {
        /// The signature of the colours.
        found: String,
    },
    /// The profile does not lead back from CIELAB.
    #[error(
        "the ICC profile `{profile}` does not lead back from CIELAB by {intent} rendering; use a \
         colorimetric intent and a profile with both directions"
    )]
    NoWayBack {
        /// Description of the profile.
        profile: String,
        /// The intent of the transform.
        intent: RenderingIntent,
    },
}
