use std::fs;
use std::num::NonZeroU32;
use std::path::{Path, PathBuf};

use estimating::{Job, RenderingChoice, SizeRequest};
use pricing::JobList;

use crate::file_list::is_picture;
use crate::price_list_source::read_text;
use crate::pricing_arguments::MonthlyArguments;
use crate::shell_error::ShellError;

/// A job of the month before its picture is opened.
#[derive(Debug)]
pub(crate) struct WantedJob {
    pub(crate) name: String,
    pub(crate) path: PathBuf,
    pub(crate) job: Job,
    pub(crate) orders: NonZeroU32,
}

/// The jobs of pictures, of folders in the order of their names, and of a list.
pub(crate) fn wanted_jobs(arguments: &MonthlyArguments) -> Result<Vec<WantedJob>, ShellError> {
    let rendering = arguments.print.rendering()?;
    let mut jobs = Vec::new();
    for path in &arguments.files {
        let paths = if path.is_dir() { pictures_in(path)? } else { vec![path.clone()] };
        jobs.extend(paths.into_iter().map(|path| named(path, arguments, rendering)));
    }
    if let Some(list) = &arguments.jobs {
        jobs.extend(listed(list, rendering)?);
    }
    if jobs.is_empty() { Err(ShellError::NoJobs) } else { Ok(jobs) }
}

fn pictures_in(folder: &Path) -> Result<Vec<PathBuf>, ShellError> {
    let unreadable = |cause| ShellError::UnreadableFolder { path: folder.to_owned(), cause };
    let mut paths = Vec::new();
    for entry in fs::read_dir(folder).map_err(unreadable)? {
        paths.push(entry.map_err(unreadable)?.path());
    }
    paths.retain(|path| path.is_file() && is_picture(path));
    paths.sort();
    Ok(paths)
}

fn named(path: PathBuf, arguments: &MonthlyArguments, rendering: RenderingChoice) -> WantedJob {
    WantedJob {
        name: path.display().to_string(),
        path,
        job: Job { size: arguments.print.size(), copies: arguments.copies, rendering },
        orders: arguments.orders,
    }
}

/// The jobs of a list, whose paths begin at its folder.
fn listed(list: &Path, rendering: RenderingChoice) -> Result<Vec<WantedJob>, ShellError> {
    let jobs = JobList::parse(&read_text(list)?, &list.display().to_string())?.jobs;
    let folder = list.parent().unwrap_or(Path::new(""));
    let wanted = jobs.into_iter().map(|listed| WantedJob {
        path: folder.join(&listed.file),
        job: Job {
            size: SizeRequest { width: listed.width, height: listed.height },
            copies: listed.copies_per_month,
            rendering,
        },
        orders: listed.orders_per_month,
        name: listed.name,
    });
    Ok(wanted.collect())
}
