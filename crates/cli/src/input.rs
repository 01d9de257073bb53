use std::fs::File;
use std::io;
use std::path::Path;

use intake::IntakeError;

/// Opens a file for reading; a folder is refused here, because reading it fails more obscurely.
pub(crate) fn open_file(path: &Path) -> Result<File, IntakeError> {
    let unopened = |source| IntakeError::Io { action: "opening it", source };
    let file = File::open(path).map_err(unopened)?;
    if file.metadata().map_err(unopened)?.is_dir() {
        return Err(unopened(io::Error::from(io::ErrorKind::IsADirectory)));
    }
    Ok(file)
}
