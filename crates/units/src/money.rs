use std::fmt;

use iso_currency::Currency;
use rust_decimal::Decimal;

use crate::UnitError;

/// An exact amount in one currency of ISO 4217.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Money {
    amount: Decimal,
    currency: Currency,
}

impl Money {
    /// Makes an amount of money. Negative amounts are allowed: a saving can be a loss.
    #[must_use]
    pub const fn new(amount: Decimal, currency: Currency) -> Self {
        Self { amount, currency }
    }

    /// The exact amount, not rounded to the currency's minor unit.
    #[must_use]
    pub const fn amount(self) -> Decimal {
        self.amount
    }

    /// The currency.
    #[must_use]
    pub const fn currency(self) -> Currency {
        self.currency
    }

    /// Reads an amount such as "79.50" and a currency code such as "EUR".
    ///
    /// # Errors
    ///
    /// `Unreadable` for a text that is not a decimal number or a code that ISO 4217 lacks.
    pub fn parse(amount: &str, currency: &str) -> Result<Self, UnitError> {
        let parsed = amount.parse().map_err(|_| UnitError::Unreadable {
            text: amount.to_owned(),
            quantity: "price",
            example: "79.50",
        })?;
        let code = Currency::from_code(currency).ok_or_else(|| UnitError::Unreadable {
            text: currency.to_owned(),
            quantity: "currency code of ISO 4217",
            example: "EUR",
        })?;
        Ok(Self::new(parsed, code))
    }
}

impl fmt::Display for Money {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{} {}", self.amount, self.currency.code())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn money_keeps_its_decimals_and_names_an_unknown_currency() {
        assert_eq!(Money::parse("79.50", "EUR").unwrap().to_string(), "79.50 EUR");
        let message = Money::parse("79.50", "EURO").unwrap_err().to_string();
        assert!(message.contains("`EURO` is not a currency code"), "{message}");
    }
}
