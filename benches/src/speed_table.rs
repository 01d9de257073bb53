//! The table of speeds: whole jobs over files of many kinds and sizes.
//!
//! Each picture is a mosaic of the photographs in `testimages`, made once in a folder outside the
//! repository. In each round it is decoded bare, on one thread of this program and by the decoder
//! that the product uses; then the release build of `inkfathom` estimates it on two ink sets as a
//! process of its own, from its start to the end of its JSON, with separations from the cache.
//! Where Python with general libraries is there, scripts of theirs take the means of the picture's
//! CMYK channels. The figures to quote are the ratios.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread::available_parallelism;

use clap::Args;
use inkfathom_tests::repository;
use tempfile::TempDir;

use crate::bench_error::BenchError;
use crate::estimate_over_decoding::decode;
use crate::measured_process::Run;
use crate::photographs::photographs;
use crate::program::Program;
use crate::speed_pictures::{PICTURES, SpeedPicture};
use crate::table::Table;
use crate::timings::Timings;

/// Measure whole jobs beside bare decoding and beside scripts of general tools
///
/// Makes the pictures (5 GB), builds the release program, and prints a table as Markdown: wall
/// times of whole processes, megapixels per second, peak memory, and ratios within the same run.
#[derive(Debug, Args)]
pub(crate) struct SpeedTable {
    /// Measure only pictures whose name contains one of these, such as jpeg-420 or raw-1000
    #[arg(long, value_name = "NAME")]
    only: Vec<String>,
    /// Rounds; the median is printed. Scripts of general tools run once
    #[arg(long, value_name = "COUNT", default_value = "3",
          value_parser = clap::value_parser!(u16).range(1..))]
    rounds: u16,
    /// Keep the pictures in this folder, and take them from there if they are present
    #[arg(long, value_name = "PATH")]
    folder: Option<PathBuf>,
    /// Leave the scripts of general tools out
    #[arg(long)]
    without_scripts: bool,
}

const INK_SETS: [&str; 2] = ["five", "eleven"];

/// Pixels up to which a script that holds the whole picture is run: 3 GB, in megapixels.
const MOST_HELD: f64 = 250.0;

/// What was measured of a picture.
struct Measured {
    megabytes: f64,
    decoding: Timings,
    estimate: Timings,
    comparison: Timings,
    peak: Option<f64>,
    /// Seconds of each script that could be run.
    scripts: [Option<f64>; 2],
}

impl SpeedTable {
    /// Measures, and describes the result.
    pub(crate) fn run(&self) -> Result<String, BenchError> {
        let temporary = TempDir::new().map_err(BenchError::file("a temporary folder"))?;
        let folder = self.folder.as_deref().unwrap_or(temporary.path());
        fs::create_dir_all(folder).map_err(BenchError::file(folder))?;
        let program = Program::build(temporary.path().join("cache"))?;
        let scripts = if self.without_scripts { [false; 2] } else { SCRIPTS.map(can_run) };
        let photographs = photographs()?;
        let mut table = Table::new(COLUMNS);
        for picture in PICTURES.iter().filter(|picture| self.is_wanted(picture)) {
            let path = picture.in_folder(folder, &photographs)?;
            let measured = self.measure(picture, &path, &program, scripts)?;
            table.row(measured.cells(picture));
            if self.folder.is_none() {
                fs::remove_file(&path).map_err(BenchError::file(&path))?;
            }
        }
        Ok(format!("{}\n{table}", self.head()))
    }

    fn is_wanted(&self, picture: &SpeedPicture) -> bool {
        self.only.is_empty() || self.only.iter().any(|part| picture.name.contains(part.as_str()))
    }

    fn head(&self) -> String {
        let threads = available_parallelism().map_or(1, usize::from);
        format!(
            "{threads} hardware threads, {}, {} rounds, medians. Two sets: {}; an estimate is of \
             the second alone.\n",
            processor(),
            self.rounds,
            INK_SETS.join(" and "),
        )
    }

    fn measure(
        &self,
        picture: &SpeedPicture,
        path: &Path,
        program: &Program,
        scripts: [bool; 2],
    ) -> Result<Measured, BenchError> {
        let bytes = fs::metadata(path).map_err(BenchError::file(path))?.len();
        // Once unmeasured, so that caches are filled alike for all.
        decode(path)?;
        Run::of(&mut program.comparing(path, &INK_SETS))?;
        let mut measured = Measured {
            megabytes: megabytes(bytes),
            decoding: Timings::default(),
            estimate: Timings::default(),
            comparison: Timings::default(),
            peak: None,
            scripts: [None; 2],
        };
        for _ in 0..self.rounds {
            measured.decoding.time(|| decode(path))?;
            let estimate = &mut program.estimating_on(path, INK_SETS[1]);
            let run = measured.estimate.time(|| Run::of(estimate))?;
            let other =
                measured.comparison.time(|| Run::of(&mut program.comparing(path, &INK_SETS)))?;
            let peaks = [run.peak_megabytes, other.peak_megabytes, measured.peak];
            measured.peak = peaks.into_iter().flatten().reduce(f64::max);
        }
        for (script, can_run) in scripts.into_iter().enumerate() {
            let fits = SCRIPTS[script] != HOLDS_ALL || picture.mosaic.megapixels() <= MOST_HELD;
            if can_run && fits {
                let run = Run::of(script_command(SCRIPTS[script]).arg(path));
                measured.scripts[script] = run.ok().map(|run| run.seconds);
            }
        }
        Ok(measured)
    }
}

const COLUMNS: [&str; 12] = [
    "picture",
    "MB",
    "decoding s",
    "estimate s",
    "two sets s",
    "MP/s",
    "peak MB",
    "estimate over decoding",
    "two sets over decoding",
    "libvips s",
    "two sets over libvips",
    "Pillow s",
];

impl Measured {
    fn cells(&self, picture: &SpeedPicture) -> [String; 12] {
        let [decoding, estimate, comparison] =
            [&self.decoding, &self.estimate, &self.comparison].map(Timings::median);
        let [vips, pillow] = self.scripts;
        let or_dash = |value: Option<f64>, digits: usize| {
            value.map_or_else(|| "–".to_owned(), |value| format!("{value:.digits$}"))
        };
        [
            picture.name.to_owned(),
            format!("{:.0}", self.megabytes),
            format!("{decoding:.3}"),
            format!("{estimate:.3}"),
            format!("{comparison:.3}"),
            format!("{:.0}", picture.mosaic.megapixels() / comparison),
            or_dash(self.peak, 0),
            format!("{:.2}", estimate / decoding),
            format!("{:.2}", comparison / decoding),
            or_dash(vips, 2),
            or_dash(vips.map(|vips| comparison / vips), 2),
            or_dash(pillow, 2),
        ]
    }
}

/// Ways of the script: a streaming one, and one that holds the picture.
const SCRIPTS: [&str; 2] = ["vips", HOLDS_ALL];
const HOLDS_ALL: &str = "pillow";

fn script_command(way: &str) -> Command {
    let mut command = Command::new("python3");
    command.arg(repository().join("benches/general_tools.py")).arg(way);
    command
}

/// Whether Python and the libraries of a way are there: without a picture it only loads them.
fn can_run(way: &str) -> bool {
    let mut command = script_command(way);
    let status = command.stdout(Stdio::null()).stderr(Stdio::null()).status();
    status.is_ok_and(|status| status.success())
}

/// The name that the system gives its processor.
fn processor() -> String {
    let facts = fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let name = facts.lines().find_map(|line| line.strip_prefix("model name"));
    let name = name.map(|name| name.trim_start_matches([' ', '\t', ':']));
    name.unwrap_or("a processor without a name").to_owned()
}

#[expect(clippy::cast_precision_loss, reason = "a file's size, printed in megabytes")]
const fn megabytes(bytes: u64) -> f64 {
    bytes as f64 / 1e6
}
