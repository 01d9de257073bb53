use print_model::PrintModelError;
use thiserror::Error;
use units::UnitError;

/// Why a separation can't be built. All variants are the fault of the ink set or the settings.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum SeparationError {
    /// The print model refuses the set.
    #[error(transparent)]
    Model(#[from] PrintModelError),
    /// The print mode gives an impossible lay-down.
    #[error("print mode `{mode}`, ink `{ink}`: {cause}")]
    LayDown {
        /// The print mode.
        mode: String,
        /// The ink.
        ink: String,
        /// Why the product of the dots is refused.
        cause: UnitError,
    },
    /// A family has more strengths than are shared among.
    #[error("family `{family}` has {strengths} strengths, outside 1 to 4; leave some inks out")]
    TooManyStrengths {
        /// The family.
        family: String,
        /// How many inks of it the substrate uses.
        strengths: usize,
    },
    /// A lighter ink would hand over in a darker tone than the next one does.
    #[error(
        "crossovers of family `{family}` don't rise in tone: `{ink}` at {percent} % hands over in \
         a tone that a darker light ink no longer prints; lower it, or raise the next one's"
    )]
    CrossoversFall {
        /// The family.
        family: String,
        /// The lighter ink.
        ink: String,
        /// Its crossover.
        percent: f64,
    },
    /// A monochrome print needs black ink.
    #[error("ink set `{set}` has no black family for a monochrome print; choose another policy")]
    NoBlackFamily {
        /// The set.
        set: String,
    },
    /// The set separates by an ICC output profile, which is not built but read.
    #[error(
        "ink set `{set}` separates by an output profile, so that there is nothing to build; separate \
         by the profile"
    )]
    OutputProfile {
        /// The set.
        set: String,
    },
}
