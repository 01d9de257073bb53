use std::collections::HashSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// Where the files of uploads lie, under names of the service's own.
pub(crate) struct UploadFolder(PathBuf);

/// What the name of a file ends with that has not come in whole.
const UNFINISHED: &str = ".part";

impl UploadFolder {
    /// Makes the folder, for this user alone where the machine knows users.
    pub(crate) fn begin(data_folder: &Path) -> io::Result<Self> {
        let folder = data_folder.join("uploads");
        fs::create_dir_all(&folder)?;
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt as _;
            fs::set_permissions(&folder, fs::Permissions::from_mode(0o700))?;
        }
        Ok(Self(folder))
    }

    /// The file of an upload.
    pub(crate) fn file(&self, id: &str) -> PathBuf {
        self.0.join(id)
    }

    /// A file that is coming in; it goes when it is let go of.
    pub(crate) fn unfinished(&self, id: &str) -> UnfinishedFile {
        UnfinishedFile { path: self.0.join(format!("{id}{UNFINISHED}")), kept: false }
    }

    /// Gives a file that has come in its name, and returns when the name outlives a crash.
    pub(crate) fn accept(&self, mut file: UnfinishedFile, id: &str) -> io::Result<()> {
        fs::rename(&file.path, self.file(id))?;
        file.kept = true;
        // A name is part of its folder.
        fs::File::open(&self.0)?.sync_all()
    }

    /// Deletes the file of an upload, if there is one.
    pub(crate) fn delete(&self, id: &str) -> io::Result<()> {
        match fs::remove_file(self.file(id)) {
            Err(cause) if cause.kind() != io::ErrorKind::NotFound => Err(cause),
            _ => Ok(()),
        }
    }

    /// Deletes what a crash left: files that never came in whole, and those of uploads that nobody
    /// waits for.
    pub(crate) fn tidy(&self, wanted: &HashSet<String>) -> io::Result<()> {
        for entry in fs::read_dir(&self.0)? {
            let entry = entry?;
            let name = entry.file_name().to_string_lossy().into_owned();
            if !wanted.contains(&name) {
                fs::remove_file(entry.path())?;
            }
        }
        Ok(())
    }
}

/// A file that has not come in whole; it is deleted unless it becomes an upload.
pub(crate) struct UnfinishedFile {
    pub(crate) path: PathBuf,
    kept: bool,
}

impl Drop for UnfinishedFile {
    fn drop(&mut self) {
        if !self.kept {
            // What can't be deleted now goes when the service starts again.
            let _ = fs::remove_file(&self.path);
        }
    }
}
