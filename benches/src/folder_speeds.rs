//! A folder of photographs: how near its estimates come to bare decoding, and what they take
//! once the pictures are known.
//!
//! The folder holds mosaics of the photographs in `testimages`, 4000 × 3000 pixels, JPEG 4:2:0 of
//! quality 90. So many are made anew, each begins with other photographs; further files are copies
//! of them with a number in a comment, so that no two files have the same bytes and none is known
//! by those of another. Bare decoding is by the product's decoder, as many files at once as there
//! are cores; counting the same way adds the census. An estimate is the release build of
//! `inkfathom` as a process of its own, from its start to the end of its JSON. Everything is wall
//! time; the figures to quote are the ratios, and the second of stored pictures.

use std::fmt::Write;
use std::fs;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread::{self, available_parallelism};
use std::time::Instant;

use clap::Args;
use estimating::{CountedPicture, Counting, PreviewUse};
use jpeg_encoder::SamplingFactor;
use tempfile::TempDir;

use crate::bench_error::BenchError;
use crate::mosaic::Mosaic;
use crate::photographs::{open, photographs};
use crate::program::Program;

/// Measure estimates of a folder of 12-megapixel photographs against bare decoding
///
/// Then again without reading them: interrupted runs go on from there, and collected colours
/// answer for another ink set. Prints Markdown.
#[derive(Debug, Args)]
pub(crate) struct FolderSpeeds {
    /// Photographs in the folder
    #[arg(long, value_name = "COUNT", default_value = "1000")]
    files: NonZeroUsize,
    /// How many of them are made; the others are copies with a number in them
    #[arg(long, value_name = "COUNT", default_value = "10")]
    made: NonZeroUsize,
    /// Keep the photographs in this folder, and take those from there that are present
    #[arg(long, value_name = "PATH")]
    folder: Option<PathBuf>,
}

/// 12 megapixels in nine fields.
const PHOTOGRAPH: Mosaic = Mosaic { width: 4000, height: 3000, fields: 3 };

/// A run and how long it took.
struct Run {
    name: &'static str,
    seconds: f64,
}

impl FolderSpeeds {
    /// Measures, and describes the result.
    pub(crate) fn run(&self) -> Result<String, BenchError> {
        let temporary = TempDir::new().map_err(BenchError::file("a temporary folder"))?;
        let folder = self.folder.clone().unwrap_or_else(|| temporary.path().join("photographs"));
        let files = self.make(&folder)?;
        let program = Program::build(temporary.path().join("cache"))?;
        // Builds the separations, which are no part of the question.
        for ink_set in ["five", "nine", "eleven"] {
            program.estimate(&files[0], ink_set, &[])?;
        }
        let mut runs = vec![
            timed("bare decoding", || on_all_cores(&files, decode))?,
            timed("decoding and counting", || on_all_cores(&files, count))?,
        ];
        let estimates: [(&str, &[&str]); 5] = [
            ("estimate on eleven", &["--ink-set", "eleven"]),
            ("again, nothing changed", &["--ink-set", "eleven"]),
            ("on five, nothing changed", &["--ink-set", "five"]),
            (
                "collected on eleven, colours first collected",
                &["--ink-set", "eleven", "--collected"],
            ),
            ("collected on nine", &["--ink-set", "nine", "--collected"]),
        ];
        for (name, further) in estimates {
            runs.push(timed(name, || program.estimate_folder(&folder, further))?);
        }
        Ok(self.described(&runs))
    }

    /// The photographs: those that are in the folder, and newly made ones.
    fn make(&self, folder: &Path) -> Result<Vec<PathBuf>, BenchError> {
        fs::create_dir_all(folder).map_err(BenchError::file(folder))?;
        let mut photographs = photographs()?;
        let mut made: Vec<Vec<u8>> = Vec::new();
        let mut files = Vec::new();
        for number in 0..self.files.get() {
            let path = folder.join(format!("photograph-{number:05}.jpg"));
            if number < self.made.get() {
                if !path.exists() {
                    PHOTOGRAPH.save(&photographs, SamplingFactor::F_2_2, &path)?;
                }
                made.push(fs::read(&path).map_err(BenchError::file(&path))?);
                let others = photographs.len().min(2);
                photographs.rotate_left(others);
            } else if !path.exists() {
                let bytes = numbered(&made[number % made.len()], number);
                fs::write(&path, bytes).map_err(BenchError::file(&path))?;
            }
            files.push(path);
        }
        Ok(files)
    }

    fn described(&self, runs: &[Run]) -> String {
        let (files, made) = (self.files.get(), self.made.get().min(self.files.get()));
        let threads = available_parallelism().map_or(1, usize::from);
        let mut text = format!(
            "# A folder of photographs\n\n\
             {files} JPEG files of 12 MP, {made} of them made of photographs and the others copies \
             with other bytes; {threads} hardware threads.\n\n\
             | run | s | MP/s | share of bare decoding's rate |\n|---|--:|--:|--:|\n",
        );
        let bare = runs.first().map_or(f64::NAN, |run| run.seconds);
        #[expect(clippy::cast_precision_loss, reason = "some thousand files")]
        let megapixels = 12.0 * files as f64;
        for Run { name, seconds } in runs {
            // Writing to a string can't fail.
            let _ = writeln!(
                text,
                "| {name} | {seconds:.2} | {:.0} | {:.0} % |",
                megapixels / seconds,
                100.0 * bare / seconds
            );
        }
        text
    }
}

/// The same JPEG file with a number in a comment segment (ITU-T T.81, B.2.4.5) behind its start.
fn numbered(jpeg: &[u8], number: usize) -> Vec<u8> {
    const START: usize = 2;
    let comment = format!("{number:010}");
    let mut bytes = jpeg[..START].to_vec();
    bytes.extend([0xff, 0xfe, 0, 12]);
    bytes.extend(comment.as_bytes());
    bytes.extend(&jpeg[START..]);
    bytes
}

fn timed(
    name: &'static str,
    work: impl FnOnce() -> Result<(), BenchError>,
) -> Result<Run, BenchError> {
    let start = Instant::now();
    work()?;
    Ok(Run { name, seconds: start.elapsed().as_secs_f64() })
}

/// Does work on every file, as many at once as there are cores.
fn on_all_cores(
    files: &[PathBuf],
    work: fn(&Path) -> Result<(), BenchError>,
) -> Result<(), BenchError> {
    let next = AtomicUsize::new(0);
    let fault = Mutex::new(None);
    let worker = || {
        while let Some(path) = files.get(next.fetch_add(1, Ordering::Relaxed)) {
            if let Err(cause) = work(path)
                && let Ok(mut fault) = fault.lock()
            {
                fault.get_or_insert(cause);
            }
        }
    };
    thread::scope(|scope| {
        for _ in 0..available_parallelism().map_or(1, usize::from) {
            scope.spawn(worker);
        }
    });
    fault.into_inner().unwrap_or_default().map_or(Ok(()), Err)
}

/// Decodes every row and keeps none.
fn decode(path: &Path) -> Result<(), BenchError> {
    let mut picture = open(path)?;
    while picture.rows.next_band().map_err(BenchError::picture(path))?.is_some() {}
    Ok(())
}

/// Decodes and counts in one thread.
fn count(path: &Path) -> Result<(), BenchError> {
    let picture = open(path)?;
    let (threads, preview) = (NonZeroUsize::MIN, PreviewUse::None);
    CountedPicture::count_for(picture, &Counting { assumed: None, paper: None, threads, preview })?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_numbered_copy_has_a_comment_behind_its_start() {
        let bytes = numbered(&[0xff, 0xd8, 0xff, 0xdb], 7);
        assert_eq!(&bytes[..6], [0xff, 0xd8, 0xff, 0xfe, 0, 12]);
        assert_eq!(&bytes[6..], [b"0000000007".as_slice(), &[0xff, 0xdb]].concat());
    }
}
