use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};

/// Lets so many threads through at once; the others wait.
pub(crate) struct Turnstile {
    free: Mutex<usize>,
    left: Condvar,
}

/// A thread's place; it is free again when this is let go of.
pub(crate) struct Place<'a>(&'a Turnstile);

impl Turnstile {
    pub(crate) const fn new(places: usize) -> Self {
        Self { free: Mutex::new(places), left: Condvar::new() }
    }

    /// Waits for a place. It must not be asked for by a thread that has one.
    pub(crate) fn enter(&self) -> Place<'_> {
        let free = self.left.wait_while(self.free(), |free| *free == 0);
        *free.unwrap_or_else(PoisonError::into_inner) -= 1;
        Place(self)
    }

    fn free(&self) -> MutexGuard<'_, usize> {
        self.free.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Drop for Place<'_> {
    fn drop(&mut self) {
        *self.0.free() += 1;
        self.0.left.notify_one();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};
    use std::thread;

    #[test]
    fn no_more_than_there_are_places_are_inside() {
        let (turnstile, inside) = (Turnstile::new(2), AtomicUsize::new(0));
        thread::scope(|scope| {
            for _ in 0..8 {
                scope.spawn(|| {
                    let _place = turnstile.enter();
                    assert!(inside.fetch_add(1, Ordering::SeqCst) < 2);
                    thread::yield_now();
                    inside.fetch_sub(1, Ordering::SeqCst);
                });
            }
        });
        assert_eq!(*turnstile.free(), 2);
    }
}
