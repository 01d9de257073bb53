use std::cell::{Cell, RefCell};

use estimating::CensusStore;
use ledger::{Ledger, LedgerError};

use crate::output::say;

/// Keeps censuses in a ledger. For an estimate, what can't be kept costs only the time of counting
/// again.
pub(crate) struct KeptCensuses {
    ledger: RefCell<Ledger>,
    fault: RefCell<Option<LedgerError>>,
    stored: Cell<bool>,
}

impl KeptCensuses {
    pub(crate) const fn new(ledger: Ledger) -> Self {
        Self { ledger: RefCell::new(ledger), fault: RefCell::new(None), stored: Cell::new(false) }
    }

    /// The ledger again, or the first thing that went wrong with it.
    pub(crate) fn into_ledger(self) -> Result<Ledger, LedgerError> {
        match self.fault.into_inner() {
            Some(fault) => Err(fault),
            None => Ok(self.ledger.into_inner()),
        }
    }

    /// Ends the keeping after estimates: makes room, and tells what went wrong as a warning.
    pub(crate) fn close(self) {
        let stored = self.stored.get();
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
        self.fault.borrow_mut().get_or_insert(fault);
    }
}

impl CensusStore for KeptCensuses {
    fn load(&self, content_hash: &[u8; 32]) -> Option<Vec<u8>> {
        let found = self.ledger.borrow().census(content_hash);
        found.map_err(|fault| self.remember(fault)).ok().flatten()
    }

    fn store(&self, content_hash: &[u8; 32], bytes: &[u8]) {
        self.stored.set(true);
        let kept = self.ledger.borrow_mut().keep_census(content_hash, bytes);
        if let Err(fault) = kept {
            self.remember(fault);
        }
    }
}
