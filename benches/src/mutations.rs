//! Damaged files of every format through the release program.
//!
//! Each sound file of `testimages/formats` and `testimages/edge` is damaged in ways that a number
//! decides, and estimated in batches. Counted are panics, runs that take longer than they may,
//! the highest memory, and answers to files that are cut. Of formats whose pixels carry check
//! sums an answer must be the sound file's own.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::{Child, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use clap::Args;
use inkfathom_tests::{Damage, mutated, repository};
use serde_json::Value;
use tempfile::TempDir;

use crate::bench_error::BenchError;
use crate::program::Program;

/// Damage sound files of every format and see what the release program makes of them
#[derive(Debug, Args)]
pub(crate) struct Mutations {
    /// Damaged files of each format
    #[arg(long, value_name = "COUNT", default_value = "10000")]
    count: u64,
    /// Only formats whose names begin so, for example tiff
    #[arg(long, value_name = "NAME", default_value = "")]
    format: String,
    /// Keep files that panic, hang, take too much memory or pass although they are cut
    #[arg(long, value_name = "PATH")]
    keep: Option<PathBuf>,
}

/// Files of a batch; our choice, so that starting the program costs little beside reading.
const BATCH: usize = 50;
/// The longest that one file may take, in processor time, so that other work doesn't count.
const LONGEST: Duration = Duration::from_secs(10);
/// The most processor time that a batch may take before its files are tried one by one; our choice:
/// most take two to five seconds.
const LONGEST_BATCH: Duration = Duration::from_secs(20);
/// How many times as long a run may wait without computing; our choice, for machines with other
/// work.
const PATIENCE: u32 = 12;
/// Linux counts processor time in hundredths of a second (proc(5), `sysconf(_SC_CLK_TCK)`).
const TICK: Duration = Duration::from_millis(10);
/// The most memory that one file may take, in bytes.
const MOST_MEMORY: u64 = 500 << 20;

/// What became of the files of a format.
#[derive(Default)]
struct Tally {
    files: usize,
    refused: usize,
    answered: usize,
    panics: usize,
    hung: usize,
    over_memory: usize,
    cut_and_answered: usize,
    other_answer: usize,
    highest_memory: u64,
    longest: Duration,
}

/// One damaged file.
struct Damaged {
    path: PathBuf,
    damage: Damage,
    /// Whether more than white space at its end is missing.
    lost: bool,
}

/// How a run of the program ended.
struct Ended {
    outcomes: Vec<Value>,
    panicked: bool,
    hung: bool,
    memory: u64,
    took: Duration,
}

impl Mutations {
    pub(crate) fn run(&self) -> Result<String, BenchError> {
        let folder = TempDir::new().map_err(BenchError::file("a temporary folder"))?;
        let program = Program::build(folder.path().join("cache"))?;
        let mut table = String::from(
            "| format | files | refused | answered | panics | over 10 s | over 500 MiB | cut and \
             answered | other answer | highest memory | processor time of the longest batch |\n\
             |---|---|---|---|---|---|---|---|---|---|---|\n",
        );
        for (format, sound) in sound_files()? {
            if format.starts_with(&self.format) {
                let tally = self.of_format(&format, &sound, folder.path(), &program)?;
                tally.write_row(&format, &mut table);
            }
        }
        Ok(table)
    }

    fn of_format(
        &self,
        format: &str,
        sound: &[PathBuf],
        folder: &Path,
        program: &Program,
    ) -> Result<Tally, BenchError> {
        let mut tally = Tally::default();
        let totals = totals(&run(program, sound, folder)?.outcomes);
        let numbers: Vec<u64> = (0..self.count).collect();
        for batch in numbers.chunks(BATCH) {
            let of = |number: u64| usize::try_from(number).unwrap_or(0) % sound.len();
            let files = batch
                .iter()
                .map(|number| damage(&sound[of(*number)], *number, folder))
                .collect::<Result<Vec<_>, _>>()?;
            let wanted: Vec<Option<f64>> =
                batch.iter().map(|number| totals.get(of(*number)).copied().flatten()).collect();
            self.count_batch(format, &files, &wanted, folder, program, &mut tally)?;
        }
        Ok(tally)
    }

    fn count_batch(
        &self,
        format: &str,
        files: &[Damaged],
        wanted: &[Option<f64>],
        folder: &Path,
        program: &Program,
        tally: &mut Tally,
    ) -> Result<(), BenchError> {
        let paths: Vec<PathBuf> = files.iter().map(|file| file.path.clone()).collect();
        let ended = run(program, &paths, folder)?;
        tally.longest = tally.longest.max(ended.took);
        if ended.is_sound(files.len()) {
            tally.highest_memory = tally.highest_memory.max(ended.memory);
            let answers = totals(&ended.outcomes);
            for ((file, answer), wanted) in files.iter().zip(answers).zip(wanted) {
                let faulty = tally.count(format, file, answer, *wanted);
                self.keep_if(faulty, file)?;
            }
            return Ok(());
        }
        // One of them is at fault: each for itself.
        for (file, wanted) in files.iter().zip(wanted) {
            let alone = run(program, std::slice::from_ref(&file.path), folder)?;
            tally.highest_memory = tally.highest_memory.max(alone.memory);
            tally.panics += usize::from(alone.panicked);
            tally.hung += usize::from(alone.hung);
            tally.over_memory += usize::from(alone.memory > MOST_MEMORY);
            let answer = totals(&alone.outcomes).first().copied().flatten();
            let faulty = tally.count(format, file, answer, *wanted);
            self.keep_if(faulty || !alone.is_sound(1), file)?;
        }
        Ok(())
    }

    fn keep_if(&self, faulty: bool, file: &Damaged) -> Result<(), BenchError> {
        let (true, Some(folder)) = (faulty, &self.keep) else {
            return Ok(());
        };
        fs::create_dir_all(folder).map_err(BenchError::file(folder))?;
        let name = file.path.file_name().unwrap_or_default();
        let target = folder.join(name);
        fs::copy(&file.path, &target).map_err(BenchError::file(target)).map(|_| ())
    }
}

impl Ended {
    fn is_sound(&self, files: usize) -> bool {
        let bounded = !self.hung && self.memory <= MOST_MEMORY;
        bounded && !self.panicked && self.outcomes.len() == files
    }
}

impl Tally {
    /// Counts an answer, and says whether it should not have been given.
    fn count(
        &mut self,
        format: &str,
        file: &Damaged,
        answer: Option<f64>,
        wanted: Option<f64>,
    ) -> bool {
        self.files += 1;
        let Some(answer) = answer else {
            self.refused += 1;
            return false;
        };
        self.answered += 1;
        let cut = file.damage == Damage::Cut && file.lost;
        let other = format == "png" && wanted.is_none_or(|wanted| (wanted - answer).abs() > 1e-9);
        self.cut_and_answered += usize::from(cut);
        self.other_answer += usize::from(other);
        cut || other
    }

    fn write_row(&self, format: &str, table: &mut String) {
        let _ = writeln!(
            table,
            "| {format} | {} | {} | {} | {} | {} | {} | {} | {} | {} MiB | {:.1} s |",
            self.files,
            self.refused,
            self.answered,
            self.panics,
            self.hung,
            self.over_memory,
            self.cut_and_answered,
            if format == "png" { self.other_answer.to_string() } else { "–".to_owned() },
            self.highest_memory >> 20,
            self.longest.as_secs_f64(),
        );
    }
}

/// Sound files by format, as the first word of their names or their extension tells.
fn sound_files() -> Result<BTreeMap<String, Vec<PathBuf>>, BenchError> {
    let table = repository().join("tests/reference/format-means.csv");
    let text = fs::read_to_string(&table).map_err(BenchError::file(table))?;
    let mut formats: BTreeMap<String, Vec<PathBuf>> = BTreeMap::new();
    for line in text.lines().skip(1).filter(|line| line.ends_with(',')) {
        let name = line.split(',').next().unwrap_or_default();
        let format = name.split('-').next().unwrap_or_default();
        let path = repository().join("testimages/formats").join(name);
        formats.entry(format.to_owned()).or_default().push(path);
    }
    Ok(formats)
}

fn damage(sound: &Path, number: u64, folder: &Path) -> Result<Damaged, BenchError> {
    let whole = fs::read(sound).map_err(BenchError::file(sound))?;
    let (bytes, damage) = mutated(&whole, number);
    let name = sound.file_name().unwrap_or_default().to_string_lossy();
    let path = folder.join(format!("{}-{number}-{name}", damage.to_string().replace(' ', "-")));
    fs::write(&path, &bytes).map_err(BenchError::file(&path))?;
    let lost = whole.get(bytes.len()..).is_some_and(|end| !end.trim_ascii().is_empty());
    Ok(Damaged { path, damage, lost })
}

/// Runs the program on files, watches its memory, and stops it when it takes too long.
fn run(program: &Program, files: &[PathBuf], folder: &Path) -> Result<Ended, BenchError> {
    let (data, messages) = (folder.join("stdout"), folder.join("stderr"));
    let create = |path: &Path| File::create(path).map_err(BenchError::file(path));
    let mut command = program.estimating(files);
    command.stdout(create(&data)?).stderr(create(&messages)?).stdin(Stdio::null());
    let started = Instant::now();
    let mut child = command.spawn().map_err(BenchError::file("the program"))?;
    let longest = if files.len() == 1 { LONGEST } else { LONGEST_BATCH };
    let (mut memory, mut took, mut hung) = (0, Duration::ZERO, false);
    while child.try_wait().map_err(BenchError::file("the program"))?.is_none() {
        memory = memory.max(highest_memory(&child));
        took = took.max(processor_time(&child));
        if took > longest || started.elapsed() > longest * PATIENCE {
            hung = true;
            let _ = child.kill();
        }
        sleep(Duration::from_millis(5));
    }
    let text = fs::read(&messages).map_err(BenchError::file(messages))?;
    let panicked = String::from_utf8_lossy(&text).contains("panicked at");
    let json = fs::read(&data).map_err(BenchError::file(data))?;
    let document: Value = serde_json::from_slice(&json).unwrap_or_default();
    let outcomes = document["files"].as_array().cloned().unwrap_or_default();
    Ok(Ended { outcomes, panicked, hung, memory, took })
}

/// The processor time that a process has taken so far, as Linux tells it.
fn processor_time(child: &Child) -> Duration {
    let status = fs::read_to_string(format!("/proc/{}/stat", child.id())).unwrap_or_default();
    // User and system time are the 12th and 13th field after the name.
    let fields = status.rsplit(')').next().unwrap_or_default().split_whitespace();
    let ticks = fields.skip(11).take(2).filter_map(|field| field.parse::<u32>().ok());
    TICK * ticks.sum::<u32>()
}

/// The most memory that a process has held so far, as Linux tells it.
fn highest_memory(child: &Child) -> u64 {
    let status = fs::read_to_string(format!("/proc/{}/status", child.id())).unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kibibytes = line.and_then(|line| line.trim().strip_suffix(" kB")?.parse::<u64>().ok());
    kibibytes.unwrap_or(0) << 10
}

/// The total of each file that was answered.
fn totals(outcomes: &[Value]) -> Vec<Option<f64>> {
    outcomes.iter().map(|outcome| outcome["estimates"][0]["total_ml"].as_f64()).collect()
}
