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
    /// Measured patches at so many amounts that the grid of all their combinations is too large.
    #[error(
        "measured primaries span a grid of {nodes} combinations of amounts, outside 2 to {most}; \
         keep fewer different amounts on substrate `{substrate}`"
    )]
    TooManyCells {
        /// Size of the grid.
        nodes: usize,
        /// The most allowed.
        most: usize,
        /// The substrate.
        substrate: String,
    },
}
