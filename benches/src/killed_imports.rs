//! Imports into a ledger that are killed at any moment.
//!
//! A table of some thousand jobs is imported by `inkfathom`, as a process of its own, which is killed (SIGKILL) after a share of the time that a whole import takes; the
//! moments are spread over all of it, most of them over its end, where the jobs are written. After
//! each kill the ledger must open, and hold the jobs that it held before, or those and the whole
//! table.

use std::fmt::Write;
use std::fs;
use std::path::Path;
use std::thread::sleep;
use std::time::{Duration, Instant};

use clap::Args;
use inkfathom_tests::repository;
use tempfile::TempDir;

use crate::bench_error::BenchError;
use crate::program::Program;

/// Kill imports into a ledger at any moment, and look what is left
///
/// Prints how many were killed in time and how the ledger was found, as Markdown.
#[derive(Debug, Args)]
pub(crate) struct KilledImports {
    /// Number of kills
    #[arg(long, value_name = "COUNT", default_value = "50",
          value_parser = clap::value_parser!(u32).range(1..))]
    kills: u32,
}

/// Jobs of the table.
const ROWS: usize = 3000;

impl KilledImports {
    /// Kills, and describes what was found.
    pub(crate) fn run(&self) -> Result<String, BenchError> {
        let folder = TempDir::new().map_err(BenchError::file("a temporary folder"))?;
        let program = Program::build_alike(folder.path().join("cache"))?;
        let table = folder.path().join("jobs.csv");
        fs::write(&table, table_text()).map_err(BenchError::file(&table))?;
        let whole = whole_import(&program, &table, &folder.path().join("timed.sqlite"))?;
        let (mut killed, mut empty, mut full) = (0, 0, 0);
        for kill in 0..self.kills {
            let ledger = folder.path().join(format!("{kill}.sqlite"));
            // A third over all of the import, the others over its last fifth.
            let spread = f64::from(kill) / f64::from(self.kills);
            let share = if kill % 3 == 0 { spread } else { 0.8 + 0.25 * spread };
            let running = program.killed_import(&table, &ledger, whole.mul_f64(share))?;
            killed += u32::from(running);
            match jobs_in(&program, &ledger)? {
                0 => empty += 1,
                ROWS => full += 1,
                some => return Err(BenchError::HalfAnImport { jobs: some, rows: ROWS }),
            }
        }
        let mut text = String::new();
        // Writing to a string can't fail.
        let _ = writeln!(
            text,
            "# Killed imports\n\n{ROWS} jobs, a whole import takes {:.2} s. Of {} imports {killed} were \
             killed before they ended. Every ledger opened: {empty} held no job, {full} all of them.",
            whole.as_secs_f64(),
            self.kills
        );
        Ok(text)
    }
}

fn table_text() -> String {
    let picture = repository().join("testimages/edge/one-pixel.png");
    let picture = fs::canonicalize(&picture).unwrap_or(picture);
    let header = "date,file,ink_set,width_mm,measured_by,resolution_ml,total_ml\n";
    let rows = (0..ROWS).map(|row| {
        let (day, width) = (1 + row % 28, 100 + row);
        format!("2026-10-{day:02},{},five,{width},weighing,0.01,{row}.5\n", picture.display())
    });
    std::iter::once(header.to_owned()).chain(rows).collect()
}

fn whole_import(program: &Program, table: &Path, ledger: &Path) -> Result<Duration, BenchError> {
    let begun = Instant::now();
    program.on_ledger(&["jobs", "import", &table.display().to_string()], ledger)?;
    Ok(begun.elapsed())
}

/// Number of jobs; none where the import was killed before it began a ledger.
fn jobs_in(program: &Program, ledger: &Path) -> Result<usize, BenchError> {
    if !ledger.exists() || fs::metadata(ledger).is_ok_and(|file| file.len() == 0) {
        return Ok(0);
    }
    Ok(program.on_ledger(&["jobs", "list"], ledger)?.lines().count())
}

impl Program {
    /// Begins an import and kills it after a while; says whether it was still at it.
    fn killed_import(
        &self,
        table: &Path,
        ledger: &Path,
        after: Duration,
    ) -> Result<bool, BenchError> {
        let mut import =
            self.begun_on_ledger(&["jobs", "import", &table.display().to_string()], ledger)?;
        sleep(after);
        let running = import.try_wait().map_err(BenchError::file("the import"))?.is_none();
        // It may have ended in between.
        let _ = import.kill();
        import.wait().map_err(BenchError::file("the import"))?;
        Ok(running)
    }
}
