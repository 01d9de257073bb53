use inkset::{InkSet, PrintMode, Substrate};
use separation::Separation;

use crate::{EstimatingError, Identities};

/// An ink set ready for estimates: its separation on one substrate in one print mode.
pub struct PreparedSet {
    set: InkSet,
    substrate: Substrate,
    print_mode: PrintMode,
    separation: Separation,
    identities: Identities,
}

impl PreparedSet {
    /// Builds the separation. Without names, the set's first substrate and print mode are used.
    ///
    /// # Errors
    ///
    /// `InkSet` for a name that the set lacks, with the nearest one; `Separation` when the set
    /// can't be separated.
    pub fn new(
        set: InkSet,
        substrate: Option<&str>,
        mode: Option<&str>,
    ) -> Result<Self, EstimatingError> {
        let substrate = set.substrate(substrate)?.clone();
        let print_mode = set.print_mode(mode)?.clone();
        let separation = Separation::build(&set, &substrate, &print_mode)?;
        let identities = Identities::of(&set, &substrate, &print_mode);
        Ok(Self { set, substrate, print_mode, separation, identities })
    }

    /// The ink set.
    #[must_use]
    pub const fn set(&self) -> &InkSet {
        &self.set
    }

    /// The substrate.
    #[must_use]
    pub const fn substrate(&self) -> &Substrate {
        &self.substrate
    }

    /// The print mode.
    #[must_use]
    pub const fn print_mode(&self) -> &PrintMode {
        &self.print_mode
    }

    /// The separation.
    #[must_use]
    pub const fn separation(&self) -> &Separation {
        &self.separation
    }

    /// What its estimates were made with.
    #[must_use]
    pub const fn identities(&self) -> &Identities {
        &self.identities
    }
}
