use units::Share;

use crate::ProofError;

/// Where a verdict draws its lines. Reports print them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thresholds {
    lost_above: f64,
    holds: Share,
    holds_all_but: Share,
}

/// The ΔE00 above which a colour counts as lost. Our choice: about the smallest difference that
/// trained eyes tell apart side by side (common practice, no source).
const LOST_ABOVE: f64 = 1.0;
/// The share of the area, in percent, up to which lost colours are overlooked, and up to which
/// they can be named as an exception. Our choice: a hundredth of a print is a patch of a tenth of its width and
/// height; beyond a tenth of the area the loss is the picture's look and no exception.
const HOLDS_PERCENT: f64 = 1.0;
const HOLDS_ALL_BUT_PERCENT: f64 = 10.0;
/// The most that may be asked for as a visible difference: as `--least-ink` allows.
const LARGEST_DIFFERENCE: f64 = 10.0;

impl Thresholds {
    /// Thresholds of one's own.
    ///
    /// | argument        | meaning                                                     | range    |
    /// |-----------------|-------------------------------------------------------------|----------|
    /// | `lost_above`    | ΔE00 above which a colour counts as lost                    | 0 to 10  |
    /// | `holds`         | share of the area that may be lost by a set that holds      | 0 to 1   |
    /// | `holds_all_but` | the same, shadows left out, by one that holds all but something | `holds` to 1 |
    ///
    /// # Errors
    ///
    /// `LostAbove` and `Shares` outside these ranges.
    pub fn new(lost_above: f64, holds: Share, holds_all_but: Share) -> Result<Self, ProofError> {
        if !(0.0..=LARGEST_DIFFERENCE).contains(&lost_above) {
            return Err(ProofError::LostAbove { value: lost_above, highest: LARGEST_DIFFERENCE });
        }
        if holds > holds_all_but {
            let [holds, holds_all_but] = [holds, holds_all_but].map(|s| 100.0 * s.to_fraction());
            return Err(ProofError::Shares { holds, holds_all_but });
        }
        Ok(Self { lost_above, holds, holds_all_but })
    }

    /// The ΔE00 above which a colour counts as lost.
    #[must_use]
    pub const fn lost_above(&self) -> f64 {
        self.lost_above
    }

    /// The share of the area that may be lost by a set that holds the colours.
    #[must_use]
    pub const fn holds(&self) -> Share {
        self.holds
    }

    /// The share of the area, shadows left out, that may be lost by a set that holds all but
    /// something.
    #[must_use]
    pub const fn holds_all_but(&self) -> Share {
        self.holds_all_but
    }
}

impl Default for Thresholds {
    fn default() -> Self {
        let share = |percent: f64| Share::from_fraction(percent / 100.0).unwrap_or(Share::MIN);
        Self {
            lost_above: LOST_ABOVE,
            holds: share(HOLDS_PERCENT),
            holds_all_but: share(HOLDS_ALL_BUT_PERCENT),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn share(percent: f64) -> Share {
        Share::from_fraction(percent / 100.0).unwrap()
    }

    #[test]
    fn the_defaults_keep_their_own_rules() {
        let default = Thresholds::default();
        let again = Thresholds::new(default.lost_above(), default.holds(), default.holds_all_but());
        assert_eq!(again.unwrap(), default);
    }

    #[test]
    fn thresholds_out_of_range_are_refused_with_value_and_range() {
        let refused = |lost_above, holds, all_but| {
            Thresholds::new(lost_above, share(holds), share(all_but)).unwrap_err().to_string()
        };
        assert!(refused(10.5, 1.0, 10.0).contains("10.5, outside 0 to 10"));
        assert!(refused(f64::NAN, 1.0, 10.0).contains("outside 0 to 10"));
        assert!(refused(1.0, 11.0, 10.0).contains("11 % is above 10 %"));
    }
}
