use strict_toml::{in_lines, remedy};
use thiserror::Error;
use units::{Area, Length};

use crate::Fault;

/// One fault of the text of a price list or a list of jobs, with its place.
pub type Problem = strict_toml::Problem<Fault>;

/// Why there is no price.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum PricingError {
    /// The text of a list has faults; these are all that one reading finds.
    #[error("{}", in_lines(problems))]
    Faulty {
        /// What is wrong, in the order of the lines; never empty.
        problems: Vec<Problem>,
    },
    /// The price list has no such paper.
    #[error("`{wanted}` is not a paper of the price list `{list}`; {}", remedy(nearest.as_deref(), known))]
    UnknownPaper {
        /// The name that was asked for.
        wanted: String,
        /// The name of the list.
        list: String,
        /// The known name that comes closest, if any comes close.
        nearest: Option<String>,
        /// All known names.
        known: Vec<String>,
    },
    /// No paper of the list is said to be this substrate.
    #[error(
        "no paper of the price list `{list}` is for the substrate `{substrate}`; name it among the \
         `substrates` of a paper, or choose a paper yourself"
    )]
    NoPaperForSubstrate {
        /// The substrate.
        substrate: String,
        /// The name of the list.
        list: String,
    },
    /// The price list prices an ink that the ink set lacks.
    #[error(
        "the price list `{list}` prices `{ink}`, which is not an ink of the ink set `{set}`; {}",
        remedy(nearest.as_deref(), known)
    )]
    UnknownInk {
        /// The ink.
        ink: String,
        /// The name of the list.
        list: String,
        /// The name of the ink set.
        set: String,
        /// The known name that comes closest, if any comes close.
        nearest: Option<String>,
        /// All inks of the set.
        known: Vec<String>,
    },
    /// Neither the price list nor the ink set prices an ink.
    #[error(
        "the price list `{list}` has no price for the ink `{ink}` of the ink set `{set}`; add an \
         [[ink]] that is for it"
    )]
    InkWithoutPrice {
        /// The ink.
        ink: String,
        /// The name of the list.
        list: String,
        /// The name of the ink set.
        set: String,
    },
    /// Two currencies meet.
    #[error(
        "{what} is in {found}, the price list `{list}` in {wanted}; state it in {wanted} (this \
         program converts no currencies)"
    )]
    OtherCurrency {
        /// What is in another currency.
        what: String,
        /// Its currency.
        found: &'static str,
        /// The name of the list.
        list: String,
        /// The list's currency.
        wanted: &'static str,
    },
    /// The paper has no roll of the asked width.
    #[error("`{paper}` comes on no roll of {asked}; choose one of {}", widths(known))]
    NoSuchRoll {
        /// The paper.
        paper: String,
        /// The asked width.
        asked: Length,
        /// The widths that it comes in.
        known: Vec<Length>,
    },
    /// A picture fits on no roll, whichever way it lies.
    #[error(
        "{picture} needs {needed} of free width with its edges, {widest_roll} of `{paper}` leaves \
         {free}; print it smaller{}",
        if *could_turn { ", or allow rotation" } else { ", or on a wider roll" }
    )]
    WiderThanRoll {
        /// The picture.
        picture: String,
        /// The least free width that it needs.
        needed: Length,
        /// The widest roll that the paper comes on and the machine takes.
        widest_roll: Length,
        /// What side margins leave of it.
        free: Length,
        /// The paper.
        paper: String,
        /// Whether it would fit if it were turned, which the list forbids.
        could_turn: bool,
    },
    /// Every roll is wider than the machine takes.
    #[error(
        "every roll of `{paper}` is wider than the {widest} that the machine of `{set}` takes; add a \
         narrower roll"
    )]
    WiderThanMachine {
        /// The paper.
        paper: String,
        /// The widest sheet of the machine.
        widest: Length,
        /// The ink set.
        set: String,
    },
    /// More paper than a job may take.
    #[error("the prints need about {metres} m of roll, outside 0 to 1000 m; split the order")]
    TooLong {
        /// The needed length in metres.
        metres: u64,
    },
    /// More prints of a picture in a month than anybody makes.
    #[error("{job} is {area} a month, outside 0 to 1000000 m²; check its copies and size")]
    TooMuch {
        /// The job.
        job: String,
        /// Its area of a month.
        area: Area,
    },
    /// A tolerance that nobody judged the colours for.
    #[error("no verdict was taken at a tolerance of {asked}; choose one of those that were")]
    UnknownTolerance {
        /// The tolerance.
        asked: f64,
    },
    /// A purchase is a matter of two ink sets.
    #[error("{sets} ink sets, not 2: name the one that is there and the one to buy")]
    NotTwoSets {
        /// How many there are.
        sets: usize,
    },
    /// The machine to buy has no price.
    #[error("the machine of `{set}` has no price; write `price` under [machine] of the ink set")]
    MachineWithoutPrice {
        /// The ink set.
        set: String,
    },
    /// No picture.
    #[error("there is nothing to price: 0 pictures; give at least one")]
    NothingToPrice,
}

fn widths(known: &[Length]) -> String {
    let widths: Vec<String> = known.iter().map(Length::to_string).collect();
    widths.join(", ")
}
