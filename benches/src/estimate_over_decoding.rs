//! What an estimate costs beyond the decoding of its picture.
//!
//! The picture is a mosaic of the photographs in `testimages`: 6000 × 4000 pixels, JPEG 4:2:0 of
//! quality 90. In each round it is first decoded row by row and thrown away, on one thread of
//! this program, by the decoder that the product uses; then the release build of `inkfathom`
//! estimates it as a process of its own, from its start to the end of its JSON, on a small and on
//! a large ink set: with the separation from the cache, and with one built anew. Everything is
//! wall time, and the figure to quote is a ratio: machines differ, ratios hardly.

use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};
use std::thread::available_parallelism;

use clap::Args;
use jpeg_encoder::SamplingFactor;
use tempfile::TempDir;

use crate::bench_error::BenchError;
use crate::mosaic::CAMERA_SIZED;
use crate::photographs::{open, photographs};
use crate::program::Program;
use crate::timings::Timings;

/// Measure a whole estimate against the bare decoding of the same 24-megapixel JPEG
///
/// Makes the picture from testimages, builds the release program, and prints wall times,
/// megapixels per second and ratios as Markdown. Rounds alternate between all measured kinds.
#[derive(Debug, Args)]
pub(crate) struct EstimateOverDecoding {
    /// Rounds; the median of each kind is printed
    #[arg(long, value_name = "COUNT", default_value = "7",
          value_parser = clap::value_parser!(u16).range(1..))]
    rounds: u16,
    /// Keep the picture in this folder, and take it from there if it is present
    #[arg(long, value_name = "PATH")]
    folder: Option<PathBuf>,
}

/// One kind of run and how long it took.
struct Measured {
    name: String,
    ink_set: &'static str,
    options: &'static [&'static str],
    timings: Timings,
    total_ml: f64,
}

const INK_SETS: [&str; 2] = ["five", "eleven"];

impl EstimateOverDecoding {
    /// Measures, and describes the result.
    pub(crate) fn run(&self) -> Result<String, BenchError> {
        let temporary = TempDir::new().map_err(BenchError::file("a temporary folder"))?;
        let picture = self.picture(temporary.path())?;
        let program = Program::build(temporary.path().join("cache"))?;
        let mut decoding = Timings::default();
        let mut kinds = kinds();
        // Once unmeasured, so that caches are filled alike for all.
        let mut unmeasured = Timings::default();
        round(&picture, &program, &mut unmeasured, &mut self::kinds())?;
        for _ in 0..self.rounds {
            round(&picture, &program, &mut decoding, &mut kinds)?;
        }
        let bytes = fs::metadata(&picture).map_err(BenchError::file(&picture))?.len();
        Ok(self.described(bytes, &decoding, &kinds))
    }

    /// The picture: as it is in the wanted folder, or newly made.
    fn picture(&self, temporary: &Path) -> Result<PathBuf, BenchError> {
        let folder = self.folder.as_deref().unwrap_or(temporary);
        fs::create_dir_all(folder).map_err(BenchError::file(folder))?;
        let path = folder.join("mosaic-24-megapixels.jpg");
        if !path.exists() {
            CAMERA_SIZED.save(&photographs()?, SamplingFactor::F_2_2, &path)?;
        }
        Ok(path)
    }

    fn described(&self, bytes: u64, decoding: &Timings, kinds: &[Measured]) -> String {
        let threads = available_parallelism().map_or(1, usize::from);
        let mut text = format!(
            "# Estimate over decoding\n\n\
             {} × {} pixels ({:.1} MP), JPEG 4:2:0 of quality 90, {:.1} MB, {} rounds, {threads} \
             hardware threads. Decoding is by one thread; an estimate is a whole process.\n\n\
             | kind | median s | fastest | slowest | MP/s | over decoding | total ml |\n\
             |---|--:|--:|--:|--:|--:|--:|\n",
            CAMERA_SIZED.width,
            CAMERA_SIZED.height,
            CAMERA_SIZED.megapixels(),
            thousandths(bytes) / 1000.0,
            self.rounds,
        );
        line(&mut text, "decoding alone", decoding, decoding, "");
        for kind in kinds {
            line(&mut text, &kind.name, &kind.timings, decoding, &format!("{:.3}", kind.total_ml));
        }
        text
    }
}

/// Every ink set, first with its separation from the cache and then with one built anew.
fn kinds() -> Vec<Measured> {
    let ways: [(&str, &'static [&'static str]); 2] =
        [("cached separation", &[]), ("new separation", &["--no-cache"])];
    ways.iter()
        .flat_map(|&(way, options)| {
            INK_SETS.map(|ink_set| Measured {
                name: format!("estimate on {ink_set}, {way}"),
                ink_set,
                options,
                timings: Timings::default(),
                total_ml: 0.0,
            })
        })
        .collect()
}

fn round(
    picture: &Path,
    program: &Program,
    decoding: &mut Timings,
    kinds: &mut [Measured],
) -> Result<(), BenchError> {
    decoding.time(|| decode(picture))?;
    for Measured { ink_set, options, timings, total_ml, .. } in kinds {
        *total_ml = timings.time(|| program.estimate(picture, ink_set, options))?;
    }
    Ok(())
}

/// Decodes every row and keeps none.
pub(crate) fn decode(path: &Path) -> Result<(), BenchError> {
    let mut picture = open(path)?;
    while picture.rows.next_band().map_err(BenchError::picture(path))?.is_some() {}
    Ok(())
}

fn line(text: &mut String, name: &str, timings: &Timings, decoding: &Timings, total: &str) {
    let [fastest, slowest] = timings.extremes();
    let median = timings.median();
    // Writing to a string can't fail.
    let _ = writeln!(
        text,
        "| {name} | {median:.3} | {fastest:.3} | {slowest:.3} | {:.0} | {:.2} | {total} |",
        CAMERA_SIZED.megapixels() / median,
        median / decoding.median(),
    );
}

#[expect(clippy::cast_precision_loss, reason = "a file's size in kilobytes, printed with a digit")]
const fn thousandths(bytes: u64) -> f64 {
    bytes as f64 / 1000.0
}
