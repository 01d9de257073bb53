use std::collections::BTreeMap;
use std::fs::{self, File, TryLockError};
use std::io;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use crate::output::write_file;
use crate::shell_error::ShellError;
use crate::watched_folder::FileState;

/// What has been done with each file of a folder. It lies in the folder, is replaced as a whole
/// and survives a kill at any moment.
pub(crate) struct WatchJournal {
    path: PathBuf,
    content: Content,
    /// Keeps a second watch of the same folder out for as long as this one lives.
    _lock: File,
}

/// Form of the file; a reader refuses any other.
const VERSION: u32 = 1;
const NAME: &str = ".inkfathom-watch.json";
const LOCK: &str = ".inkfathom-watch.lock";

#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Content {
    version: u32,
    files: BTreeMap<String, Entry>,
}

/// What has been done with a file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    state: FileState,
    step: Step,
}

/// How far a file has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Step {
    /// Estimating has begun; what the result's path held before tells whether it also ended.
    Begun {
        /// The state of what was there before.
        result_before: Option<FileState>,
    },
    /// The result lies in its place, and is to be posted.
    Unposted,
    /// Nothing is left to be done.
    Done,
}

impl WatchJournal {
    /// Reads a folder's journal, or begins one, and keeps others out.
    pub(crate) fn open(folder: &Path) -> Result<Self, ShellError> {
        let lock = locked(folder)?;
        let path = folder.join(NAME);
        let content = match fs::read(&path) {
            Ok(bytes) => parsed(&path, &bytes)?,
            Err(cause) if cause.kind() == io::ErrorKind::NotFound => {
                Content { version: VERSION, ..Content::default() }
            }
            Err(cause) => return Err(faulty(&path, &cause.to_string())),
        };
        Ok(Self { path, content, _lock: lock })
    }

    /// How far a file has come in the state in which it is now.
    pub(crate) fn step(&self, name: &str, state: FileState) -> Option<Step> {
        self.content.files.get(name).filter(|entry| entry.state == state).map(|entry| entry.step)
    }

    /// Names of the files whose results are to be posted.
    pub(crate) fn unposted(&self) -> Vec<String> {
        let waiting = self.content.files.iter().filter(|(_, entry)| entry.step == Step::Unposted);
        waiting.map(|(name, _)| name.clone()).collect()
    }

    /// Writes down how far a file has come, before anything further is done with it.
    pub(crate) fn record(
        &mut self,
        name: &str,
        state: FileState,
        step: Step,
    ) -> Result<(), ShellError> {
        self.content.files.insert(name.to_owned(), Entry { state, step });
        self.write()
    }

    /// Writes down that nothing is left to be done with a file.
    pub(crate) fn finish(&mut self, name: &str) -> Result<(), ShellError> {
        if let Some(entry) = self.content.files.get_mut(name) {
            entry.step = Step::Done;
        }
        self.write()
    }

    fn write(&self) -> Result<(), ShellError> {
        let text = serde_json::to_string(&self.content)
            .map_err(|fault| ShellError::Json(fault.to_string()))?;
        write_file(text.as_bytes(), &self.path)
    }
}

fn locked(folder: &Path) -> Result<File, ShellError> {
    let path = folder.join(LOCK);
    let file = File::options()
        .create(true)
        .truncate(false)
        .write(true)
        .open(&path)
        .map_err(|cause| ShellError::Unwritable { path: path.clone(), cause })?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => {
            Err(ShellError::WatchedAlready { folder: folder.to_owned() })
        }
        Err(TryLockError::Error(cause)) => Err(ShellError::Unwritable { path, cause }),
    }
}

fn parsed(path: &Path, bytes: &[u8]) -> Result<Content, ShellError> {
    let content: Content =
        serde_json::from_slice(bytes).map_err(|fault| faulty(path, &fault.to_string()))?;
    match content.version {
        VERSION => Ok(content),
        other => Err(faulty(path, &format!("its form is {other}, and only {VERSION} is known"))),
    }
}

fn faulty(path: &Path, cause: &str) -> ShellError {
    ShellError::FaultyJournal { path: path.to_owned(), cause: cause.to_owned() }
}
