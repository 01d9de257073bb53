use rust_decimal::Decimal;
use units::Money;

use crate::rounding::minor_unit;

/// Splits a rounded amount in proportion to weights, in whole minor units, so that the parts add
/// up to it: what is left after rounding down goes to the largest remainders, of equal ones to the
/// first. Without any weight all parts are equal.
pub(crate) fn split(amount: Money, weights: &[Decimal]) -> Vec<Money> {
    let unit = minor_unit(amount.currency());
    let units = amount.amount() / unit;
    let parts = exact_parts(units, weights);
    let mut whole: Vec<Decimal> = parts.iter().map(Decimal::floor).collect();
    let mut by_remainder: Vec<usize> = (0..parts.len()).collect();
    by_remainder.sort_by(|&one, &other| {
        let remainder = |part: usize| parts[part] - whole[part];
        remainder(other).cmp(&remainder(one)).then(one.cmp(&other))
    });
    let mut left = units - whole.iter().sum::<Decimal>();
    for part in by_remainder {
        if left >= Decimal::ONE {
            whole[part] += Decimal::ONE;
            left -= Decimal::ONE;
        }
    }
    whole.into_iter().map(|part| Money::new(part * unit, amount.currency())).collect()
}

fn exact_parts(units: Decimal, weights: &[Decimal]) -> Vec<Decimal> {
    let sum: Decimal = weights.iter().sum();
    let equal = || units / Decimal::from(weights.len().max(1));
    // Divided first, so that large amounts of large weights don't overflow.
    weights.iter().map(|weight| weight.checked_div(sum).map_or_else(equal, |w| w * units)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_are_whole_minor_units_and_add_up_to_the_amount() {
        // 10.00 in three equal parts: 3.33 each, and the cent that is left goes to the first.
        let amount = Money::parse("10.00", "EUR").unwrap();
        for (weights, expected) in [
            ([1, 1, 1], ["3.34", "3.33", "3.33"]),
            ([0, 0, 0], ["3.34", "3.33", "3.33"]),
            ([1, 2, 3], ["1.67", "3.33", "5.00"]),
        ] {
            let weights = weights.map(Decimal::from);
            let parts = split(amount, &weights);
            let parts: Vec<String> = parts.iter().map(|part| part.amount().to_string()).collect();
            assert_eq!(parts, expected);
        }
    }
}
