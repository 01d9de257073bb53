use std::cell::Cell;
use std::panic::{AssertUnwindSafe, catch_unwind};

use crate::{FileFormat, IntakeError};

thread_local! {
    static GUARDED: Cell<bool> = const { Cell::new(false) };
}

/// Whether a panic on this thread would be caught here and become an [`IntakeError`].
///
/// Libraries that draw or decode may panic on damaged files. A program's panic hook should pass
/// over such a panic in silence: the file's error tells it.
#[must_use]
pub fn panic_is_caught() -> bool {
    GUARDED.get()
}

/// Calls a library of others; where it panics, the file counts as damaged.
pub(crate) fn guarded<T>(
    format: FileFormat,
    work: impl FnOnce() -> Result<T, IntakeError>,
) -> Result<T, IntakeError> {
    let before = GUARDED.replace(true);
    let done = catch_unwind(AssertUnwindSafe(work));
    GUARDED.set(before);
    done.unwrap_or_else(|_| Err(IntakeError::corrupt(format, "its decoder gave up on it")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_becomes_an_error_of_the_file_and_the_guard_ends() {
        let fault = guarded::<()>(FileFormat::Gif, || {
            assert!(panic_is_caught());
            std::panic::resume_unwind(Box::new("a library's fault"))
        });
        assert!(fault.unwrap_err().to_string().contains("gave up"));
        assert!(!panic_is_caught());
    }
}
