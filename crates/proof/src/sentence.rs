//! Verdicts in plain sentences with their numbers.

use units::Share;

use crate::{Holding, LostRegion, Verdict};

/// Regions beyond this part of what is lost are not named: naming every trace would hide what
/// matters. Our choice.
const NAMED_FROM: f64 = 0.15;

impl Verdict {
    /// One plain sentence on the set of this name, with its numbers.
    #[must_use]
    pub fn sentence(&self, ink_set: &str) -> String {
        let lost = self.lost_numbers();
        match self.holding {
            Holding::Holds if self.lost.is_empty() => {
                format!("{ink_set} holds the colours: none lies outside its gamut")
            }
            Holding::Holds => format!("{ink_set} holds the colours: {lost}"),
            Holding::HoldsAllBut => {
                format!("{ink_set} holds all but {}: {lost}", self.lost_names())
            }
            Holding::Loses => {
                format!("{ink_set} does not hold the colours, mostly {}: {lost}", self.lost_names())
            }
        }
    }

    /// The regions that make up most of what is lost, as words.
    #[must_use]
    pub fn lost_names(&self) -> String {
        let all: f64 = self.lost.iter().map(|lost| lost.share.to_fraction()).sum();
        let matters = |lost: &&LostRegion| lost.share.to_fraction() >= NAMED_FROM * all;
        listed(&self.lost.iter().filter(matters).map(|lost| lost.region.name()).collect::<Vec<_>>())
    }

    /// How far what is lost lies beyond the threshold, as a mean ΔE00 over the lost area.
    #[must_use]
    pub fn mean_depth(&self) -> f64 {
        let share = self.out_of_gamut.to_fraction();
        if share > 0.0 { self.loss / share } else { 0.0 }
    }

    fn lost_numbers(&self) -> String {
        let largest = self.lost.iter().map(|lost| lost.largest).fold(0.0, f64::max);
        let compensated = self.after_compensation.map_or_else(String::new, |after| {
            format!(" ({} after black-point compensation)", percent(after.out_of_gamut))
        });
        format!(
            "{} of the area lies outside its gamut{compensated}, by a ΔE00 of up to {largest:.1}",
            percent(self.out_of_gamut)
        )
    }
}

/// A share in percent, with more digits where it is small.
pub(crate) fn percent(share: Share) -> String {
    let percent = 100.0 * share.to_fraction();
    if percent >= 10.0 || percent == 0.0 {
        format!("{percent:.0} %")
    } else if percent >= 0.1 {
        format!("{percent:.1} %")
    } else {
        "less than 0.1 %".to_owned()
    }
}

/// "a", "a and b", "a, b and c".
fn listed(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_read_as_people_write_them() {
        assert_eq!(listed(&[]), "");
        assert_eq!(listed(&["reds"]), "reds");
        assert_eq!(listed(&["reds", "blues"]), "reds and blues");
        assert_eq!(listed(&["reds", "blues", "greens"]), "reds, blues and greens");
    }

    #[test]
    fn small_shares_are_not_rounded_to_nothing() {
        let of = |fraction| percent(Share::from_fraction(fraction).unwrap());
        assert_eq!(of(0.0), "0 %");
        assert_eq!(of(0.000_2), "less than 0.1 %");
        assert_eq!(of(0.004_2), "0.4 %");
        assert_eq!(of(0.123), "12 %");
    }
}
