/// The candidate that was probably meant by `wanted`, if any comes close.
///
/// Close means that at most a third of the letters, and one letter in any case, must be changed,
/// added, dropped or swapped with their neighbour; case does not count. Our choice: it finds a
/// slip of the finger, and does not offer "orange" to someone who wrote "green".
#[must_use]
pub fn nearest_name<'known>(
    wanted: &str,
    candidates: impl IntoIterator<Item = &'known str>,
) -> Option<&'known str> {
    let wanted = wanted.to_lowercase();
    let most = (wanted.chars().count() / 3).max(1);
    candidates
        .into_iter()
        .map(|known| (strsim::osa_distance(&wanted, &known.to_lowercase()), known))
        .filter(|&(distance, _)| distance <= most)
        .min_by_key(|&(distance, _)| distance)
        .map(|(_, known)| known)
}

#[cfg(test)]
mod tests {
    use super::*;

    const NAMES: [&str; 4] = ["five", "nine", "eleven", "light cyan"];

    #[test]
    fn a_slip_of_the_finger_is_understood() {
        for (slip, meant) in
            [("fiev", "five"), ("Nine", "nine"), ("elevn", "eleven"), ("light-cyan", "light cyan")]
        {
            assert_eq!(nearest_name(slip, NAMES), Some(meant));
        }
    }

    #[test]
    fn another_word_is_not_mistaken_for_a_slip() {
        for other in ["", "twelve inks", "orange"] {
            assert_eq!(nearest_name(other, NAMES), None, "{other}");
        }
    }
}
