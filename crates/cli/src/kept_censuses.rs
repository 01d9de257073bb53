use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};

use estimating::CensusStore;
use ledger::{Ledger, LedgerError};

use crate::output::say;

/// Keeps censuses in a ledger. For an estimate, what can't be kept costs only the time of counting
/// again.
pub(crate) struct KeptCensuses {
    ledger: Mutex<Ledger>,
    fault: Mutex<Option<LedgerError>>,
    stored: AtomicBool,
}

impl KeptCensuses {
    pub(crate) const fn new(ledger: Ledger) -> Self {
        Self { ledger: Mutex::new(ledger), fault: Mutex::new(None), stored: AtomicBool::new(false) }
    }

    /// The ledger again, or the first thing that went wrong with it.
    pub(crate) fn into_ledger(self) -> Result<Ledger, LedgerError> {
        match self.fault.into_inner().unwrap_or_else(PoisonError::into_inner) {
            Some(fault) => Err(fault),
            None => Ok(self.ledger.into_inner().unwrap_or_else(PoisonError::into_inner)),
        }
    }

    /// Ends the keeping after estimates: makes room, and tells what went wrong as a warning.
    pub(crate) fn close(self) {
        let stored = self.stored.load(Ordering::Relaxed);
        // Where nothing was stored there is nothing to write, nor to wait for others for.
        let ended = self.into_ledger().and_then(|mut ledger| {
            if stored { ledger.limit_censuses(Ledger::CENSUS_ROOM) } else { Ok(()) }
        });
        if let Err(fault) = ended {
            say("warning", &format!("counted colours were not kept: {fault}"));
        }
    }

    /// Remembers the first fault; the others are mostly the same.
    fn remember(&self, fault: LedgerError) {
        locked(&self.fault).get_or_insert(fault);
    }
}

impl CensusStore for KeptCensuses {
    fn load(&self, content_hash: &[u8; 32]) -> Option<Vec<u8>> {
        let found = locked(&self.ledger).census(content_hash);
        found.map_err(|fault| self.remember(fault)).ok().flatten()
    }

    fn store(&self, content_hash: &[u8; 32], bytes: &[u8]) {
        self.stored.store(true, Ordering::Relaxed);
        let kept = locked(&self.ledger).keep_census(content_hash, bytes);
        if let Err(fault) = kept {
            self.remember(fault);
        }
    }
}

/// What a lock guards; a thread that panicked has left nothing half done behind it.
fn locked<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}
