use std::path::Path;
use std::sync::{Mutex, MutexGuard, PoisonError};

use ledger::{Ledger, LedgerError, Opening};

/// One connection to the ledger, for all threads in turn.
pub(crate) struct SharedLedger(Mutex<Ledger>);

impl SharedLedger {
    pub(crate) fn open(path: &Path) -> Result<Self, LedgerError> {
        Ok(Self(Mutex::new(Ledger::open(path, Opening::OrNew)?)))
    }

    /// Waits for the connection. A panic of another holder leaves no half transaction: it is
    /// rolled back when it is dropped.
    pub(crate) fn lock(&self) -> MutexGuard<'_, Ledger> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
