use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use estimating::MOST_PROFILE_BYTES;
use inkset::{InkSet, SeparationDefaults};

use crate::shell_error::ShellError;

/// Reads the output profile that an ink set names, if it names one. Its path is meant from the
/// folder of the ink-set file.
pub(crate) fn read_output_profile(
    set: &InkSet,
    set_name: &str,
) -> Result<Option<Vec<u8>>, ShellError> {
    let SeparationDefaults::OutputProfile(stated) = &set.separation else {
        return Ok(None);
    };
    let folder = Path::new(set_name).parent().unwrap_or(Path::new(""));
    let path = folder.join(stated);
    let unreadable = |cause| ShellError::UnreadableOutputProfile {
        set: set.name.clone(),
        path: path.clone(),
        cause,
    };
    bounded(&path).map(Some).map_err(unreadable)
}

/// No more than a profile may have, and one byte more for the refusal.
fn bounded(path: &Path) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    File::open(path)?.take(MOST_PROFILE_BYTES as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}
