//! The process that counts one picture: it sees a file of a stranger, and nothing else of the
//! service.

use std::fs::File;
use std::io::{self, Write};
use std::num::NonZeroUsize;
use std::path::PathBuf;
use std::time::Duration;

use estimating::{EstimatingError, KeptPicture};
use intake::{IntakeError, Limits};

/// What a counting process is told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CountingOrder {
    /// The file.
    pub picture: PathBuf,
    /// Most pixels that are counted.
    pub most_pixels: u64,
    /// Most address space in bytes.
    pub memory: u64,
    /// Most time on processors.
    pub time: Duration,
}

/// Pixels of a kept preview: enough for a phone and a desktop page, 1.5 MB in the ledger. Our choice.
const PREVIEW_PIXELS: u64 = 500_000;

/// How a counting process ends: the result is on its standard output.
pub(crate) const COUNTED: u8 = 0;
/// The file is at fault; standard output says why.
pub(crate) const REFUSED: u8 = 4;
/// Something else went wrong; standard output says what.
pub(crate) const FAILED: u8 = 6;

impl CountingOrder {
    /// Counts the picture within the limits, and writes what is to be kept to standard output: the
    /// length of the facts as eight little-endian bytes, the facts, the census. Gives the exit code.
    #[must_use]
    pub fn carry_out(&self) -> u8 {
        self.limit_process();
        let (code, result) = match self.count() {
            Ok(kept) => (COUNTED, frame(&kept)),
            Err(EstimatingError::Picture(IntakeError::Io { action, source })) => {
                (FAILED, format!("{action}: {source}").into_bytes())
            }
            Err(fault) => (REFUSED, fault.to_string().into_bytes()),
        };
        let mut out = io::stdout().lock();
        match out.write_all(&result).and_then(|()| out.flush()) {
            Ok(()) => code,
            Err(_) => FAILED,
        }
    }

    fn count(&self) -> Result<KeptPicture, EstimatingError> {
        let unopened = |source| IntakeError::Io { action: "opening the upload", source };
        let file = File::open(&self.picture).map_err(unopened)?;
        let limits = Limits {
            max_pixels: self.most_pixels,
            // The other half is for the counted colours and the program itself.
            max_held_bytes: self.memory / 2,
            ..Limits::default()
        };
        // One thread decodes and one counts.
        KeptPicture::count(intake::open(file, &limits)?, NonZeroUsize::MIN, PREVIEW_PIXELS)
    }

    /// Bounds memory, time, files and core dumps. What can't be bounded ends by the clock.
    #[cfg(unix)]
    fn limit_process(&self) {
        use rustix::process::{Resource, Rlimit, setrlimit};
        let bound = |resource, most| {
            let limit = Rlimit { current: Some(most), maximum: Some(most) };
            // A machine may hold lower bounds already.
            let _ = setrlimit(resource, limit);
        };
        bound(Resource::As, self.memory);
        bound(Resource::Cpu, self.time.as_secs().max(1));
        bound(Resource::Fsize, 0);
        bound(Resource::Core, 0);
        bound(Resource::Nofile, MOST_FILES);
        #[cfg(target_os = "linux")]
        {
            use rustix::process::{Signal, set_parent_process_death_signal};
            // Without it, a picture of a service that was killed would be counted to its end.
            let _ = set_parent_process_death_signal(Some(Signal::KILL));
        }
    }

    #[cfg(not(unix))]
    fn limit_process(&self) {}
}

/// Standard input, output and error, the picture, and a few for libraries.
#[cfg(unix)]
const MOST_FILES: u64 = 16;

fn frame(kept: &KeptPicture) -> Vec<u8> {
    let length = kept.facts.len() as u64;
    [&length.to_le_bytes(), kept.facts.as_bytes(), &kept.census].concat()
}

/// Takes apart what a counting process wrote.
pub(crate) fn of_frame(mut bytes: Vec<u8>) -> Option<KeptPicture> {
    let (length, rest) = bytes.split_first_chunk()?;
    let length = usize::try_from(u64::from_le_bytes(*length)).ok()?;
    let facts = String::from_utf8(rest.get(..length)?.to_vec()).ok()?;
    // In place: a census may take many megabytes.
    bytes.drain(..size_of::<u64>() + length);
    Some(KeptPicture { facts, census: bytes })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_frame_reads_back_and_a_cut_one_does_not() {
        let kept = KeptPicture { census: vec![1, 2, 3], facts: "{}".to_owned() };
        let bytes = frame(&kept);
        assert_eq!(of_frame(bytes[..9].to_vec()), None);
        assert_eq!(of_frame(bytes), Some(kept));
        assert_eq!(of_frame(u64::MAX.to_le_bytes().to_vec()), None);
    }
}
