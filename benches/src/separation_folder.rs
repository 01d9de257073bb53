use std::fs;
use std::path::{Path, PathBuf};

use estimating::SeparationCache;
use tempfile::{NamedTempFile, TempDir};

use crate::bench_error::BenchError;

/// Keeps the separations of a proof in a folder: in a temporary one, or in one that outlasts the
/// run. Files are named by the hash of all that went in, so that other inputs are other files.
pub(crate) enum SeparationFolder {
    Temporary(TempDir),
    Lasting(PathBuf),
}

impl SeparationFolder {
    pub(crate) fn new(wanted: Option<&Path>) -> Result<Self, BenchError> {
        match wanted {
            None => {
                TempDir::new().map(Self::Temporary).map_err(BenchError::file("a temporary folder"))
            }
            Some(path) => {
                fs::create_dir_all(path).map_err(BenchError::file(path))?;
                Ok(Self::Lasting(path.to_owned()))
            }
        }
    }

    fn path(&self) -> &Path {
        match self {
            Self::Temporary(folder) => folder.path(),
            Self::Lasting(path) => path,
        }
    }
}

impl SeparationCache for SeparationFolder {
    fn load(&self, key: &str) -> Option<Vec<u8>> {
        fs::read(self.path().join(key)).ok()
    }

    fn store(&self, key: &str, bytes: &[u8]) {
        // What can't be kept is built again. A file appears whole or not at all.
        let _ = NamedTempFile::new_in(self.path()).and_then(|file| {
            fs::write(file.path(), bytes)?;
            Ok(file.persist(self.path().join(key))?)
        });
    }
}
