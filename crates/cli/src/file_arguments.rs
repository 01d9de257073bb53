use std::num::NonZeroUsize;
use std::path::PathBuf;
use std::thread::available_parallelism;

use clap::Args;

use crate::file_list::{FileList, Listed};
use crate::shell_error::ShellError;

/// The pictures of a run, and how many are in work at once.
#[derive(Debug, Args)]
pub(crate) struct FileArguments {
    /// Pictures (JPEG, PNG, TIFF, WebP, GIF, BMP, PNM, PDF or SVG), folders of them, patterns such
    /// as "prints/*.jpg", or - for a list on standard input
    #[arg(required_unless_present = "list", value_name = "FILE|FOLDER|PATTERN|-")]
    files: Vec<PathBuf>,
    /// List of pictures, folders and patterns, one a line or each ended by NUL; - is standard input
    #[arg(long, value_name = "PATH|-")]
    list: Option<PathBuf>,
    /// Search the folders within folders, too
    #[arg(long)]
    recursive: bool,
    /// Threads for the whole run: as many pictures are in work at once; one a core if not given
    #[arg(long, value_name = "COUNT")]
    jobs: Option<NonZeroUsize>,
}

impl FileArguments {
    /// The pictures that the arguments name, in their order.
    ///
    /// What can't be found or searched is among them with its fault: it stops none of the others.
    pub(crate) fn listed(&self) -> Result<Vec<Listed>, ShellError> {
        let mut list = FileList::new(self.recursive);
        for path in &self.files {
            if path.as_os_str() == "-" { list.add_list(path)? } else { list.add(path.clone()) }
        }
        if let Some(path) = &self.list {
            list.add_list(path)?;
        }
        let listed = list.into_listed();
        if listed.is_empty() { Err(ShellError::EmptyList) } else { Ok(listed) }
    }

    /// Threads of the run.
    pub(crate) fn jobs(&self) -> NonZeroUsize {
        self.jobs.or_else(|| available_parallelism().ok()).unwrap_or(NonZeroUsize::MIN)
    }
}
