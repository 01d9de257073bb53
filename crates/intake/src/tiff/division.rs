use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

use crate::IntakeError;

/// The rows of chunks of a picture, handed out from the top to readers side by side.
pub(super) struct Division {
    next: AtomicUsize,
    down: usize,
    /// The fault that comes first in the file, with its row of chunks.
    fault: Mutex<Option<(usize, IntakeError)>>,
}

impl Division {
    pub(super) const fn new(down: usize) -> Self {
        Self { next: AtomicUsize::new(0), down, fault: Mutex::new(None) }
    }

    /// The next row of chunks; none after the last and below a fault.
    ///
    /// Those above a fault have been handed out before it, so that the first fault is always met.
    pub(super) fn claim(&self) -> Option<usize> {
        let fault = self.fault.lock().unwrap_or_else(PoisonError::into_inner);
        if fault.is_some() {
            return None;
        }
        drop(fault);
        let claimed = self.next.fetch_add(1, Ordering::Relaxed);
        (claimed < self.down).then_some(claimed)
    }

    /// Keeps the fault of a row of chunks, unless one further up is known.
    pub(super) fn fail(&self, down: usize, fault: IntakeError) {
        let mut first = self.fault.lock().unwrap_or_else(PoisonError::into_inner);
        if first.as_ref().is_none_or(|(other, _)| down < *other) {
            *first = Some((down, fault));
        }
    }

    /// The first fault, once.
    pub(super) fn take_fault(&self) -> Option<IntakeError> {
        let mut fault = self.fault.lock().unwrap_or_else(PoisonError::into_inner);
        fault.take().map(|(_, fault)| fault)
    }
}
