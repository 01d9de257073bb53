use thiserror::Error;

use crate::PrintModelError;

/// Why a chart can't become a print model. Variants of the chart first, then of the request.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum FitError {
    /// No patch without ink.
    #[error("the chart has no patch of bare paper, with all device values 0; add one")]
    NoPaper,
    /// An ink without its solid.
    #[error("the chart has no patch of `{ink}` alone at 100 %; add one, the model needs its solid")]
    NoSolid {
        /// The ink.
        ink: String,
    },
    /// A solid that no paper could tell from itself.
    #[error(
        "`{ink}` at 100 % differs from the paper by ΔE00 {difference:.2}, outside 1 to 100; leave out \
         inks that don't print, or measure the solid again"
    )]
    InvisibleSolid {
        /// The ink.
        ink: String,
        /// The colour difference.
        difference: f64,
    },
    /// A patch without which there is no model, and which can't have been read right.
    #[error(
        "line {line}: {what} (sample `{sample}`) is ΔE00 {difference:.1} from what its neighbours in \
         the chart suggest, outside 0 to {most:.1}; measure it again or correct the row"
    )]
    SuspectEnd {
        /// The line.
        line: usize,
        /// Paper or which solid.
        what: String,
        /// The sample.
        sample: String,
        /// Its distance from what is expected.
        difference: f64,
        /// The most that is believed.
        most: f64,
    },
    /// Tristimulus values that no spectrum adds up to.
    #[error("line {line}: {cause}")]
    NotASurface {
        /// The line.
        line: usize,
        /// Why.
        cause: colour::ColourError,
    },
    /// A chart without device values.
    #[error(
        "the chart has no device values; export them, or say of which ink the sample names are steps"
    )]
    NoDeviceValues,
    /// A number of ink names other than that of the channels.
    #[error(
        "{named} inks are named for {channels} channels ({columns}); name one ink for each channel, in \
         the chart's order"
    )]
    InkNames {
        /// How many are named.
        named: usize,
        /// How many there are.
        channels: usize,
        /// The channels.
        columns: String,
    },
    /// Numbered channels and no names.
    #[error("the chart numbers its channels; name their inks, one for each of {channels} channels")]
    UnnamedInks {
        /// How many channels there are.
        channels: usize,
    },
    /// Two channels of one ink.
    #[error("ink `{ink}` is named twice; give each channel an ink of its own")]
    InkTwice {
        /// The ink.
        ink: String,
    },
    /// More channels than the model mixes.
    #[error("{channels} inks, outside 1 to 12; fit a chart of fewer inks")]
    TooManyInks {
        /// How many there are.
        channels: usize,
    },
    /// More families than the model mixes.
    #[error(
        "{families} families of inks, outside 1 to 8; fit a chart of fewer, or say which inks are \
         strengths of one family"
    )]
    TooManyFamilies {
        /// How many there are.
        families: usize,
    },
    /// A number of family names other than that of the inks.
    #[error(
        "{named} families are named for {inks} inks; name one for each ink, in the chart's order"
    )]
    FamilyNames {
        /// How many are named.
        named: usize,
        /// How many inks there are.
        inks: usize,
    },
    /// Two inks of one family that are equally strong.
    #[error(
        "`{ink}` has {strength:.2} of the strength of `{full}`, outside 0 to 1; give it a family of its own"
    )]
    NoLightInk {
        /// The ink.
        ink: String,
        /// The full-strength ink of its family.
        full: String,
        /// Its relative strength.
        strength: f64,
    },
    /// A device curve under which the chart shows no solid or can't tell steps apart.
    #[error(
        "the device curve of `{ink}` in ink set `{set}` does not rise all the way to 100 % coverage; \
         correct it, or write \"unknown\""
    )]
    UnfitCurve {
        /// The ink.
        ink: String,
        /// The set.
        set: String,
    },
    /// The base set lacks something.
    #[error("ink set `{set}` has no {what} to take over; choose another one as base")]
    PoorBase {
        /// The set.
        set: String,
        /// What it lacks.
        what: &'static str,
    },
    /// The model refuses what was fitted.
    #[error(transparent)]
    Model(#[from] PrintModelError),
}
