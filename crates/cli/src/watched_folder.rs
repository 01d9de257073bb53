use std::collections::BTreeMap;
use std::fs::{self, Metadata};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use serde::{Deserialize, Serialize};

use crate::shell_error::ShellError;
use crate::watch_arguments::ResultForm;

/// A folder into which somebody puts pictures.
pub(crate) struct WatchedFolder {
    folder: PathBuf,
    /// What each file looked like last time.
    before: BTreeMap<String, FileState>,
}

/// By what a file is known to be the same as before, without reading it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct FileState {
    bytes: u64,
    /// Nanoseconds since 1970; nought for a file system without clock.
    modified_ns: u64,
}

impl FileState {
    /// The state of a file, if there is one.
    pub(crate) fn of(path: &Path) -> Option<Self> {
        fs::metadata(path).ok().filter(Metadata::is_file).map(|found| Self::from(&found))
    }
}

impl From<&Metadata> for FileState {
    fn from(metadata: &Metadata) -> Self {
        let modified = metadata.modified().unwrap_or(SystemTime::UNIX_EPOCH);
        let since = modified.duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default();
        Self {
            bytes: metadata.len(),
            modified_ns: u64::try_from(since.as_nanos()).unwrap_or(u64::MAX),
        }
    }
}

/// Endings of files that are not yet what they are to become: whoever writes under such a name
/// renames the file when it is complete. Common practice, no source.
const UNFINISHED: [&str; 6] = [".part", ".partial", ".tmp", ".temp", ".crdownload", ".download"];

impl WatchedFolder {
    pub(crate) const fn new(folder: PathBuf) -> Self {
        Self { folder, before: BTreeMap::new() }
    }

    /// Names of the files that have not changed since the last look, in alphabetical order.
    pub(crate) fn look(&mut self) -> Result<Vec<(String, FileState)>, ShellError> {
        let now = self.files()?;
        let settled = now
            .iter()
            .filter(|(name, state)| self.before.get(*name) == Some(state))
            .map(|(name, state)| (name.clone(), *state))
            .collect();
        self.before = now;
        Ok(settled)
    }

    /// Where a file lies.
    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.join(name)
    }

    fn files(&self) -> Result<BTreeMap<String, FileState>, ShellError> {
        let unreadable = |cause| ShellError::UnreadableFolder { path: self.folder.clone(), cause };
        let mut files = BTreeMap::new();
        for entry in fs::read_dir(&self.folder).map_err(unreadable)? {
            let name = entry.map_err(unreadable)?.file_name();
            // The journal and the result need names that can be written down.
            let Some(name) = name.to_str().filter(|name| may_be_picture(name)) else { continue };
            // A file may go away between the two looks at it.
            if let Some(state) = FileState::of(&self.path(name)) {
                files.insert(name.to_owned(), state);
            }
        }
        Ok(files)
    }
}

/// Whether a name is neither hidden, nor unfinished, nor that of a result.
fn may_be_picture(name: &str) -> bool {
    let lower = name.to_lowercase();
    let results = [ResultForm::Json, ResultForm::Csv, ResultForm::Table];
    !lower.starts_with('.')
        && !lower.ends_with('~')
        && !UNFINISHED.iter().any(|ending| lower.ends_with(ending))
        && !results.iter().any(|form| lower.ends_with(form.ending()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use tempfile::tempdir;

    #[test]
    fn hidden_unfinished_and_written_files_are_no_pictures() {
        for name in [".shore.png", "shore.png.part", "SHORE.PNG.TMP", "shore.png~"] {
            assert!(!may_be_picture(name), "{name}");
        }
        for name in ["shore.png.ink.json", "shore.png.ink.csv", "shore.png.ink.txt"] {
            assert!(!may_be_picture(name), "{name}");
        }
        for name in ["shore.png", "part", "Shore of May.JPG", "unnamed"] {
            assert!(may_be_picture(name), "{name}");
        }
    }

    #[test]
    fn a_file_is_complete_when_two_looks_see_the_same() {
        let place = tempdir().unwrap();
        let mut folder = WatchedFolder::new(place.path().to_owned());
        let path = place.path().join("shore.png");
        let mut names = || -> Vec<String> {
            folder.look().unwrap().into_iter().map(|(name, _)| name).collect()
        };
        fs::write(&path, "half").unwrap();
        assert!(names().is_empty());
        fs::write(&path, "half and half").unwrap();
        assert!(names().is_empty());
        assert_eq!(names(), ["shore.png"]);
        fs::rename(&path, place.path().join("shore.png.part")).unwrap();
        assert!(names().is_empty());
    }

    #[test]
    fn a_folder_that_is_not_there_is_told_with_its_name() {
        let mut folder = WatchedFolder::new(PathBuf::from("no-such-folder"));
        assert!(folder.look().unwrap_err().to_string().contains("no-such-folder"));
    }
}
