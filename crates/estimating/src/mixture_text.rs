use inkset::InkSet;
use thiserror::Error;
use units::{Coverage, UnitError};

/// Why a text is no mixture of a set's inks.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum MixtureTextError {
    /// Input: a part without an ink and a number.
    #[error(
        "`{part}` is no coverage of an ink; write inks with percentages as in cyan=50,yellow=20"
    )]
    Unreadable {
        /// The part.
        part: String,
    },
    /// Input: a percentage out of range.
    #[error("coverage of `{ink}` is {percent} %, outside 0 to 100 %")]
    OutOfRange {
        /// The ink.
        ink: String,
        /// What was written.
        percent: f64,
    },
    /// Input: an ink that the set lacks or leaves idle.
    #[error("{0}")]
    Ink(String),
    /// Input: an ink that is named twice.
    #[error("`{ink}` is named twice; name each ink once")]
    Twice {
        /// The ink.
        ink: String,
    },
}

/// Reads coverages of a set's inks, as in `cyan=50,light cyan=20`, in percent; inks that are not
/// named take nothing. The result is in the order of the set's inks.
///
/// # Errors
///
/// For parts that are no `INK=PERCENT`, percentages outside 0 to 100, unknown inks, and inks
/// named twice.
pub fn read_mixture(text: &str, set: &InkSet) -> Result<Vec<Coverage>, MixtureTextError> {
    let mut coverages: Vec<Option<Coverage>> = vec![None; set.inks.len()];
    for part in text.split(',').map(str::trim) {
        let (ink, percent) = named_percent(part)?;
        let known = set.ink(ink).map_err(|fault| MixtureTextError::Ink(fault.to_string()))?;
        let coverage = coverage(ink, percent)?;
        for (place, other) in coverages.iter_mut().zip(&set.inks) {
            if other.name == known.name && place.replace(coverage).is_some() {
                return Err(MixtureTextError::Twice { ink: ink.to_owned() });
            }
        }
    }
    Ok(coverages.into_iter().map(|coverage| coverage.unwrap_or(Coverage::MIN)).collect())
}

fn named_percent(part: &str) -> Result<(&str, f64), MixtureTextError> {
    let unreadable = || MixtureTextError::Unreadable { part: part.to_owned() };
    let (ink, percent) = part.split_once('=').ok_or_else(unreadable)?;
    let percent = percent.trim().trim_end_matches('%').trim_end();
    Ok((ink.trim(), percent.parse().map_err(|_| unreadable())?))
}

fn coverage(ink: &str, percent: f64) -> Result<Coverage, MixtureTextError> {
    let out_of_range = |_: UnitError| MixtureTextError::OutOfRange { ink: ink.to_owned(), percent };
    Coverage::from_fraction(percent / 100.0).map_err(out_of_range)
}

#[cfg(test)]
mod tests {
    use super::*;
    use inkset::builtin;

    fn five() -> InkSet {
        builtin("five").unwrap().parse().unwrap().set
    }

    #[test]
    fn inks_are_read_in_any_order_and_the_others_take_nothing() {
        let read = read_mixture("yellow=20 %, cyan=50", &five()).unwrap();
        let percents: Vec<f64> = read.iter().map(|c| 100.0 * c.to_fraction()).collect();
        assert_eq!(percents, [50.0, 0.0, 20.0, 0.0, 0.0]);
    }

    #[test]
    fn what_is_no_mixture_is_refused_with_a_remedy() {
        for (text, said) in [
            (
                "",
                "`` is no coverage of an ink; write inks with percentages as in cyan=50,yellow=20",
            ),
            ("cyan", "`cyan` is no coverage of an ink"),
            ("cyan=x", "`cyan=x` is no coverage of an ink"),
            ("cyan=101", "coverage of `cyan` is 101 %, outside 0 to 100 %"),
            ("cyan=NaN", "coverage of `cyan` is NaN %, outside 0 to 100 %"),
            ("cian=5", "`cian` is not an ink of the ink set `five`; did you mean `cyan`?"),
            ("cyan=5,cyan=6", "`cyan` is named twice; name each ink once"),
        ] {
            let fault = read_mixture(text, &five()).unwrap_err().to_string();
            assert!(fault.starts_with(said), "{fault}");
        }
    }
}
