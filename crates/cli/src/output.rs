#[cfg(unix)]
use std::fs::Permissions;
use std::io::{self, IsTerminal, Write};
#[cfg(unix)]
use std::os::unix::fs::PermissionsExt;
use std::path::Path;

use tempfile::{Builder, NamedTempFile};

use crate::shell_error::ShellError;

/// Writes a result to a file or to standard output.
///
/// A file appears whole or not at all: it is written beside its place and then renamed.
pub(crate) fn write_result(text: &str, path: Option<&Path>) -> Result<(), ShellError> {
    match path {
        None => write_standard_output(text.as_bytes()),
        Some(path) => write_file(text.as_bytes(), path),
    }
}

/// Writes a result that is no text, which a terminal can't show.
#[cfg(feature = "parquet")]
pub(crate) fn write_bytes(bytes: &[u8], path: Option<&Path>) -> Result<(), ShellError> {
    match path {
        None if io::stdout().is_terminal() => Err(ShellError::NoText),
        None => write_standard_output(bytes),
        Some(path) => write_file(bytes, path),
    }
}

/// Writes a file in the place of any that has its name.
pub(crate) fn write_file(bytes: &[u8], path: &Path) -> Result<(), ShellError> {
    replace_file(bytes, path).map_err(|cause| unwritable(path, &cause))
}

/// Writes a file that must not exist yet.
pub(crate) fn write_new(text: &str, path: &Path) -> Result<(), ShellError> {
    let file = beside(path)
        .and_then(|file| filled(file, text.as_bytes()))
        .map_err(|cause| unwritable(path, &cause))?;
    match file.persist_noclobber(path) {
        Ok(_) => Ok(()),
        Err(fault) if fault.error.kind() == io::ErrorKind::AlreadyExists => {
            Err(ShellError::Exists { path: path.to_owned() })
        }
        Err(fault) => Err(unwritable(path, &fault.error)),
    }
}

/// Names the wanted file and not the one beside it that was to become it.
pub(crate) fn unwritable(path: &Path, cause: &io::Error) -> ShellError {
    ShellError::Unwritable { path: path.to_owned(), cause: io::Error::from(cause.kind()) }
}

/// Says something to the person at the terminal.
#[expect(clippy::print_stderr, reason = "the shell is where messages are printed")]
pub(crate) fn say(kind: &str, message: &str) {
    eprintln!("{kind}: {message}");
}

fn write_standard_output(bytes: &[u8]) -> Result<(), ShellError> {
    let mut out = io::stdout().lock();
    match out.write_all(bytes).and_then(|()| out.flush()) {
        // Whoever read the pipe has read enough.
        Err(cause) if cause.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        written => written.map_err(ShellError::StandardOutput),
    }
}

fn replace_file(bytes: &[u8], path: &Path) -> io::Result<()> {
    filled(beside(path)?, bytes)?.persist(path)?;
    Ok(())
}

/// A file beside the wanted one, to become it by renaming.
pub(crate) fn beside(path: &Path) -> io::Result<NamedTempFile> {
    let folder = path.parent().filter(|parent| !parent.as_os_str().is_empty());
    let mut builder = Builder::new();
    // A result is no secret: it may be read as any file that its owner writes.
    #[cfg(unix)]
    builder.permissions(Permissions::from_mode(0o666));
    builder.tempfile_in(folder.unwrap_or(Path::new(".")))
}

fn filled(mut file: NamedTempFile, bytes: &[u8]) -> io::Result<NamedTempFile> {
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    Ok(file)
}

/// The JSON of a report; in practice it can always be written.
pub(crate) fn json<E: std::fmt::Display>(written: Result<String, E>) -> Result<String, ShellError> {
    written.map_err(|fault| ShellError::Json(fault.to_string()))
}

/// The Parquet form of a report; in practice it can always be written.
#[cfg(feature = "parquet")]
pub(crate) fn parquet<E: std::fmt::Display>(
    written: Result<Vec<u8>, E>,
) -> Result<Vec<u8>, ShellError> {
    written.map_err(|fault| ShellError::Parquet(fault.to_string()))
}
