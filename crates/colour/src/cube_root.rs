/// The cube root of a number from 10⁻¹⁸⁰ to 10¹⁸⁰, within two units in the last place. Others have no
/// meaningful result.
///
/// CIELAB takes three for each colour, and the standard library's, rounded correctly, took a sixth of
/// the time of a separation. A third of the exponent is a first guess within 4 %; each of Halley's steps
/// triples its correct digits.
#[must_use]
#[inline]
pub fn cube_root(number: f64) -> f64 {
    let guess = f64::from_bits(number.to_bits() / 3 + TWO_THIRDS_OF_BIAS);
    let near = halley(guess, number);
    let nearer = halley(near, number);
    // The last step is small, so that its own rounding hardly counts.
    nearer - (nearer - number / (nearer * nearer)) / 3.0
}

/// Two thirds of the exponent's bias, shifted so that the guess is off by as much above as below.
const TWO_THIRDS_OF_BIAS: u64 = 0x2a9f_7893 << 32;

/// A step of Halley's method towards the cube root.
#[inline]
fn halley(root: f64, number: f64) -> f64 {
    let cube = root * root * root;
    root * (cube + 2.0 * number) / (2.0 * cube + number)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Units in the last place between two positive numbers.
    fn units_apart(one: f64, other: f64) -> u64 {
        one.to_bits().abs_diff(other.to_bits())
    }

    #[test]
    fn cubes_of_whole_numbers_are_met() {
        for root in 1..=1000 {
            let root = f64::from(root);
            assert!(units_apart(cube_root(root.powi(3)), root) <= 2, "{root}");
        }
    }

    proptest! {
        #[test]
        fn it_is_the_standard_librarys(exponent in -597.0..597.0, part in 1.0..2.0) {
            let number = part * f64::exp2(f64::floor(exponent));
            let (ours, exact) = (cube_root(number), number.cbrt());
            prop_assert!(units_apart(ours, exact) <= 2, "{ours} and {exact}");
        }
    }
}
