use thiserror::Error;

/// Why a value is not a quantity. All variants are the fault of the input.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum UnitError {
    /// The value lies outside the range of the quantity, or is not a number.
    #[error("{quantity} is {value}, outside {low} to {high} {unit}")]
    OutOfRange {
        /// The name of the quantity.
        quantity: &'static str,
        /// The value that was refused.
        value: f64,
        /// The lowest allowed value.
        low: f64,
        /// The highest allowed value.
        high: f64,
        /// The unit of all three.
        unit: &'static str,
    },
    /// The text is not a number followed by a unit that the quantity knows.
    #[error("`{text}` is not a {quantity}; write a number and a unit, for example {example}")]
    Unreadable {
        /// The text that was refused.
        text: String,
        /// The name of the quantity.
        quantity: &'static str,
        /// A text that would have been accepted.
        example: &'static str,
    },
}
