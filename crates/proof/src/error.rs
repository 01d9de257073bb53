use thiserror::Error;

/// Why something can't be proved, sorted by whose fault it is.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum ProofError {
    /// Caller: a difference that no threshold can be.
    #[error("a colour can't count as lost above a ΔE00 of {value}, outside 0 to {highest}")]
    LostAbove {
        /// The difference asked for.
        value: f64,
        /// The highest allowed.
        highest: f64,
    },
    /// Caller: shares in the wrong order.
    #[error(
        "the share of the area that may be lost by a set that holds, {holds} % is above \
         {holds_all_but} %, that of a set that holds all but something; exchange them"
    )]
    Shares {
        /// Percent.
        holds: f64,
        /// Percent.
        holds_all_but: f64,
    },
    /// Caller: a light that asks for spectra where an output profile predicts colours alone.
    #[error(
        "the light can't be chosen for ink set `{set}`: its output profile predicts colours under \
         D50 and no spectra; leave the light at D50"
    )]
    NoSpectra {
        /// The set's name.
        set: String,
    },
}
