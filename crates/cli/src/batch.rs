use std::num::NonZeroUsize;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use std::thread;

use crate::file_list::Listed;
use crate::progress::Progress;

/// Several files, worked on side by side.
pub(crate) struct Batch<'a> {
    pub(crate) files: &'a [Listed],
    /// Threads of the whole run.
    pub(crate) jobs: NonZeroUsize,
}

impl Batch<'_> {
    /// Files that are in work at once. Each takes the memory of one picture.
    pub(crate) fn at_once(&self) -> usize {
        self.jobs.get().min(self.files.len()).max(1)
    }

    /// Threads for one file: one where files fill the threads of the run, else up to two, of which
    /// one decodes and one counts.
    pub(crate) fn threads_of_each(&self) -> NonZeroUsize {
        NonZeroUsize::new((self.jobs.get() / self.at_once()).min(2)).unwrap_or(NonZeroUsize::MIN)
    }

    /// Does work on every file and gives its results in the order of the files. `unusable` makes
    /// a result of a name that led to no file, and the reason.
    pub(crate) fn run<T: Send>(
        &self,
        work: impl Fn(&Path, NonZeroUsize) -> Vec<T> + Sync,
        unusable: impl Fn(&str, &str) -> T + Sync,
    ) -> Vec<T> {
        let progress = Progress::over(self.files);
        let (next, done) = (AtomicUsize::new(0), AtomicUsize::new(0));
        let results = Mutex::new(Vec::with_capacity(self.files.len()));
        let threads = self.threads_of_each();
        let worker = || {
            loop {
                let place = next.fetch_add(1, Ordering::Relaxed);
                let Some(file) = self.files.get(place) else { break };
                let result = match file {
                    Listed::File(path) => work(path, threads),
                    Listed::Unusable { name, error } => vec![unusable(name, error)],
                };
                results.lock().unwrap_or_else(PoisonError::into_inner).push((place, result));
                let done = done.fetch_add(1, Ordering::Relaxed) + 1;
                progress.advance(file, done, self.files.len());
            }
        };
        thread::scope(|scope| {
            for _ in 1..self.at_once() {
                scope.spawn(worker);
            }
            worker();
        });
        progress.finish();
        let mut results = results.into_inner().unwrap_or_else(PoisonError::into_inner);
        results.sort_by_key(|(place, _)| *place);
        results.into_iter().flat_map(|(_, result)| result).collect()
    }
}

#[cfg(test)]
mod tests {
    use std::path::PathBuf;

    use super::*;

    #[test]
    fn results_keep_the_order_of_the_files_for_every_number_of_threads() {
        let files: Vec<Listed> = (0..40)
            .map(|number| match number % 5 {
                0 => Listed::Unusable { name: number.to_string(), error: "gone".to_owned() },
                _ => Listed::File(PathBuf::from(number.to_string())),
            })
            .collect();
        let run = |jobs: usize| {
            let batch = Batch { files: &files, jobs: NonZeroUsize::new(jobs).unwrap() };
            batch.run(
                |path, _| vec![path.display().to_string(); 2],
                |name, error| format!("{name} {error}"),
            )
        };
        let one = run(1);
        assert_eq!(one.len(), 8 + 2 * 32);
        assert_eq!(&one[..3], ["0 gone", "1", "1"]);
        assert_eq!((run(3), run(64)), (one.clone(), one));
    }

    #[test]
    fn threads_are_shared_among_the_files_in_work() {
        let files = vec![Listed::File(PathBuf::new()); 3];
        let shared = |jobs: usize, files: &[Listed]| {
            let batch = Batch { files, jobs: NonZeroUsize::new(jobs).unwrap() };
            (batch.at_once(), batch.threads_of_each().get())
        };
        assert_eq!(shared(8, &files), (3, 2));
        assert_eq!(shared(2, &files), (2, 1));
        assert_eq!(shared(8, &files[..1]), (1, 2));
    }
}
