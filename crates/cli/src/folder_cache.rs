use std::env;
use std::fs;
use std::io::Write;
use std::path::PathBuf;

use estimating::SeparationCache;
use tempfile::NamedTempFile;

/// Keeps separations in the user's cache folder.
///
/// A file appears whole under its name or not at all, so that processes side by side are safe;
/// a file that can't be read or written only costs the time of building.
pub(crate) struct FolderCache(PathBuf);

impl FolderCache {
    /// The cache of this user.
    pub(crate) fn of_user() -> Option<Self> {
        Some(Self(cache_of_user()?.join("separations")))
    }
}

/// The program's folder for what can be made again: in `XDG_CACHE_HOME`, or in `.cache` of the home
/// folder.
pub(crate) fn cache_of_user() -> Option<PathBuf> {
    let absolute = |name: &str| env::var_os(name).map(PathBuf::from).filter(|p| p.is_absolute());
    let base = absolute("XDG_CACHE_HOME").or_else(|| Some(absolute("HOME")?.join(".cache")))?;
    Some(base.join("inkfathom"))
}

impl SeparationCache for FolderCache {
    fn load(&self, key: &str) -> Option<Vec<u8>> {
        fs::read(self.0.join(key)).ok()
    }

    fn store(&self, key: &str, bytes: &[u8]) {
        // What can't be kept is built again the next time.
        let _ = fs::create_dir_all(&self.0).and_then(|()| {
            let mut file = NamedTempFile::new_in(&self.0)?;
            file.write_all(bytes)?;
            file.persist(self.0.join(key))?;
            Ok(())
        });
    }
}
