use super::entry::Entry;
use crate::Fault;

/// How the values of a list must follow one another.
#[derive(Clone, Copy)]
pub(super) enum Rise {
    /// Each above the one before.
    Strict,
    /// None below the one before.
    Level,
}

impl Rise {
    pub(super) fn check(self, entry: &Entry, values: &[f64]) -> Option<()> {
        let falls = |pair: &&[f64]| match self {
            Self::Strict => pair[1] <= pair[0],
            Self::Level => pair[1] < pair[0],
        };
        let Some(pair) = values.windows(2).find(falls) else {
            return Some(());
        };
        let (before, value) = (pair[0], pair[1]);
        let rule = self.rule();
        entry.fault(Fault::NotRising { value, before, rule });
        None
    }

    const fn rule(self) -> &'static str {
        match self {
            Self::Strict => "rise from each to the next",
            Self::Level => "never fall",
        }
    }
}

/// Checks that percentages begin with nothing and end with all.
pub(super) fn runs_from_0_to_100(entry: &Entry, percentages: &[f64]) -> Option<()> {
    let first = percentages.first().copied().unwrap_or(f64::NAN);
    let last = percentages.last().copied().unwrap_or(f64::NAN);
    let is_complete = first == 0.0 && last == 100.0;
    if !is_complete {
        entry.fault(Fault::CurveEnds { first, last });
    }
    is_complete.then_some(())
}
