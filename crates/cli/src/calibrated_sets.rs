use estimating::PreparedSet;
use ledger::{Ledger, StoredCalibration};
use service::device_calibration;

use crate::ledger_arguments::{CalibrationUse, LedgerPath};
use crate::output::say;
use crate::shell_error::ShellError;

/// The ledger that was named, or the user's own where there is one.
///
/// Without a wish for calibrations the user's own ledger is a convenience: one that can't be
/// opened is told and done without.
pub(crate) fn ledger_of(
    path: &LedgerPath,
    wish: &CalibrationUse,
) -> Result<Option<Ledger>, ShellError> {
    match path.open_if_any() {
        Err(fault) if wish.no_calibration && path.ledger.is_none() => {
            say("warning", &fault.to_string());
            Ok(None)
        }
        opened => opened,
    }
}

/// Gives each set the calibration that was named for it, or its active one.
pub(crate) fn calibrated(
    prepared: Vec<PreparedSet>,
    ledger: Option<&Ledger>,
    path: &LedgerPath,
    wish: &CalibrationUse,
) -> Result<Vec<PreparedSet>, ShellError> {
    let Some(ledger) = ledger else {
        return if wish.calibration.is_empty() { Ok(prepared) } else { Err(path.missing()) };
    };
    let mut named = named(ledger, wish)?;
    let sets = prepared.into_iter().map(|set| calibrated_one(set, ledger, wish, &mut named));
    let mut sets: Vec<PreparedSet> = sets.collect::<Result<_, ShellError>>()?;
    // One that fits no set is refused in the words of the room below.
    if let Some(stray) = named.pop()
        && let Some(set) = sets.pop()
    {
        set.with_calibration(device_calibration(stray)).map_err(ShellError::Calibration)?;
    }
    Ok(sets)
}

/// As [`calibrated`], for one set; of several calibrations named, all must be of it.
pub(crate) fn calibrated_set(
    set: PreparedSet,
    ledger: Option<&Ledger>,
    path: &LedgerPath,
    wish: &CalibrationUse,
) -> Result<PreparedSet, ShellError> {
    let Some(ledger) = ledger else {
        return if wish.calibration.is_empty() { Ok(set) } else { Err(path.missing()) };
    };
    let mut named = named(ledger, wish)?;
    let set = calibrated_one(set, ledger, wish, &mut named)?;
    match named.pop() {
        None => Ok(set),
        Some(stray) => {
            set.with_calibration(device_calibration(stray)).map_err(ShellError::Calibration)
        }
    }
}

fn named(ledger: &Ledger, wish: &CalibrationUse) -> Result<Vec<StoredCalibration>, ShellError> {
    let named = wish.calibration.iter().map(|name| ledger.calibration(name));
    Ok(named.collect::<Result<_, _>>()?)
}

/// Takes the named calibration of a set, or else its active one.
fn calibrated_one(
    set: PreparedSet,
    ledger: &Ledger,
    wish: &CalibrationUse,
    named: &mut Vec<StoredCalibration>,
) -> Result<PreparedSet, ShellError> {
    let (name, mode) = (&set.set().name, &set.print_mode().name);
    let of_set = |c: &StoredCalibration| (&c.ink_set, &c.print_mode) == (name, mode);
    let chosen = match named.iter().position(of_set) {
        Some(place) => Some(named.remove(place)),
        None if wish.no_calibration => None,
        None => ledger.active_calibration(name, mode)?,
    };
    match chosen {
        None => Ok(set),
        Some(stored) => {
            set.with_calibration(device_calibration(stored)).map_err(ShellError::Calibration)
        }
    }
}
