use std::env;
use std::fs;
use std::path::{Path, PathBuf};

use ledger::{Ledger, LedgerError, Opening};

use crate::ledger_arguments::LedgerPath;
use crate::shell_error::ShellError;

impl LedgerPath {
    /// Opens the ledger that was named; without a name the user's own, if there is one.
    pub(crate) fn open_if_any(&self) -> Result<Option<Ledger>, ShellError> {
        match (&self.ledger, of_user()) {
            (Some(path), _) => Ok(Some(Ledger::open(path, Opening::Existing)?)),
            (None, Some(path)) if path.exists() => {
                Ok(Some(Ledger::open(&path, Opening::Existing)?))
            }
            (None, _) => Ok(None),
        }
    }

    /// Opens the ledger, which must be there.
    pub(crate) fn open(&self) -> Result<Ledger, ShellError> {
        Ok(Ledger::open(&self.place()?, Opening::Existing)?)
    }

    /// Opens the ledger, or begins one.
    pub(crate) fn open_or_begin(&self) -> Result<Ledger, ShellError> {
        let path = self.place()?;
        if self.ledger.is_none() {
            begin_folder(&path)?;
        }
        Ok(Ledger::open(&path, Opening::OrNew)?)
    }

    /// Says where a ledger was looked for.
    pub(crate) fn missing(&self) -> ShellError {
        match self.place() {
            Ok(path) => LedgerError::Missing { path }.into(),
            Err(fault) => fault,
        }
    }

    fn place(&self) -> Result<PathBuf, ShellError> {
        self.ledger.clone().or_else(of_user).ok_or(ShellError::NoLedgerPlace)
    }
}

/// The ledger of this user: in `XDG_DATA_HOME`, or in `.local/share` of the home folder.
fn of_user() -> Option<PathBuf> {
    let absolute = |name: &str| env::var_os(name).map(PathBuf::from).filter(|p| p.is_absolute());
    let base =
        absolute("XDG_DATA_HOME").or_else(|| Some(absolute("HOME")?.join(".local/share")))?;
    Some(base.join("inkfathom").join("ledger.sqlite"))
}

fn begin_folder(path: &Path) -> Result<(), ShellError> {
    let folder = path.parent().unwrap_or(Path::new("."));
    fs::create_dir_all(folder)
        .map_err(|cause| ShellError::Unwritable { path: folder.to_owned(), cause })
}
