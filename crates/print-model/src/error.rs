use thiserror::Error;

/// Why an ink set can't be modelled on a substrate. All variants are the fault of the set.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum PrintModelError {
    /// The set names a substrate that it doesn't hold.
    #[error("ink `{ink}` was printed on `{substrate}`, which the set lacks; add that substrate")]
    UnknownSubstrate {
        /// The ink whose solid refers to the substrate.
        ink: String,
        /// The name that was looked for.
        substrate: String,
    },
    /// A family has no full-strength ink.
    #[error("family `{family}` has no full-strength ink on `{substrate}`; give it one")]
    NoFullStrength {
        /// The family.
        family: String,
        /// The substrate.
        substrate: String,
    },
    /// More families than the model expands.
    #[error("{families} families, outside 1 to 8; join inks of one hue into one family")]
    TooManyFamilies {
        /// How many there are.
        families: usize,
    },
    /// A measured patch of partly printed families.
    #[error(
        "a measured primary has `{family}` at {percent} %; primaries are solids: give 0 or 100 %"
    )]
    PartialPrimary {
        /// The family that is neither absent nor full.
        family: String,
        /// Its amount.
        percent: f64,
    },
}
