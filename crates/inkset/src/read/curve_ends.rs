use super::Entry;
use crate::Fault;

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
