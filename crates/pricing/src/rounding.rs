use iso_currency::Currency;
use rust_decimal::{Decimal, RoundingStrategy};
use units::Money;

/// Rounds an amount to the currency's minor unit, halves away from zero: the one place where
/// money is rounded.
///
/// Every line of a quote passes here once. Sums are sums of rounded lines, so that whoever adds
/// up the lines finds the sum. Halves away from zero are commercial rounding, common practice, no
/// source. The number of decimals is that of ISO 4217; price lists refuse currencies without one.
#[must_use]
pub fn to_minor_unit(amount: Decimal, currency: Currency) -> Money {
    let decimals = minor_unit_decimals(currency).unwrap_or_default();
    let mut rounded =
        amount.round_dp_with_strategy(decimals, RoundingStrategy::MidpointAwayFromZero);
    rounded.rescale(decimals);
    Money::new(rounded, currency)
}

/// Decimals of the minor unit: 2 for cents, 0 where there is none, 3 for thousandths; `None` for
/// units of account and metals.
pub(crate) fn minor_unit_decimals(currency: Currency) -> Option<u32> {
    currency.exponent().map(u32::from)
}

/// The smallest amount that is paid.
pub(crate) fn minor_unit(currency: Currency) -> Decimal {
    Decimal::new(1, minor_unit_decimals(currency).unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_rounded_to_the_minor_unit_of_their_currency() {
        for (amount, code, rounded) in [
            ("1.005", "EUR", "1.01 EUR"),
            ("-1.005", "EUR", "-1.01 EUR"),
            ("2.4", "EUR", "2.40 EUR"),
            ("1234.5", "JPY", "1235 JPY"),
            ("1.2345", "KWD", "1.235 KWD"),
            ("0.0044", "BHD", "0.004 BHD"),
        ] {
            let money = Money::parse(amount, code).unwrap();
            assert_eq!(to_minor_unit(money.amount(), money.currency()).to_string(), rounded);
        }
    }
}
