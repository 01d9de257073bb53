//! Runs the bodies of the fuzz targets over damaged seeds, without looking at what code they reach:
//! less thorough than `cargo fuzz`, but on the stable compiler and with checked arithmetic.
//!
//! `cargo run -p inkfathom-tests --bin blind_fuzz -- SECONDS [TARGET]` spends so many seconds on each
//! target, with the seeds of `tests/fuzz/corpus` (`make_seeds.py` there lays them out). Files on which a
//! body panics, or takes longer than ten seconds, go to `tests/fuzz/artifacts`; their number is the
//! exit code.

#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "this program is a shell for the bodies"
)]

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::{Duration, Instant};

use inkfathom_tests::{bodies, mutated, repository};
use intake::FileFormat;

type Body = fn(&[u8]);

const TARGETS: [(&str, Body); 18] = [
    ("jpeg", |bytes| bodies::picture(FileFormat::Jpeg, bytes)),
    ("png", |bytes| bodies::picture(FileFormat::Png, bytes)),
    ("tiff", |bytes| bodies::picture(FileFormat::Tiff, bytes)),
    ("webp", |bytes| bodies::picture(FileFormat::WebP, bytes)),
    ("gif", |bytes| bodies::picture(FileFormat::Gif, bytes)),
    ("bmp", |bytes| bodies::picture(FileFormat::Bmp, bytes)),
    ("pnm", |bytes| bodies::picture(FileFormat::Pnm, bytes)),
    ("svg", |bytes| bodies::picture(FileFormat::Svg, bytes)),
    ("pdf", |bytes| bodies::picture(FileFormat::Pdf, bytes)),
    ("profile", bodies::profile),
    ("ink_set", bodies::ink_set),
    ("price_list", bodies::price_list),
    ("job_list", bodies::job_list),
    ("job_table", bodies::job_table),
    ("chart", bodies::chart),
    ("stored_census", bodies::stored_census),
    ("stored_separation", bodies::stored_separation),
    ("ledger_file", bodies::ledger_file),
];

/// The longest that a file may take.
const SLOW: Duration = Duration::from_secs(10);
/// Most damages on top of one another.
const MOST_DAMAGES: u64 = 4;
/// Finds of a target after which it ends.
const MOST_FINDS: u8 = 10;

fn main() -> ExitCode {
    let mut words = std::env::args().skip(1);
    let Some(seconds) = words.next().and_then(|word| word.parse().ok()) else {
        eprintln!("blind_fuzz: SECONDS [TARGET]");
        return ExitCode::FAILURE;
    };
    let wanted = words.next();
    bodies::let_caught_panics_pass();
    let mut finds = 0_u8;
    for (name, body) in TARGETS {
        if wanted.as_deref().is_none_or(|wanted| wanted == name) {
            finds = finds.saturating_add(search(name, body, Duration::from_secs(seconds)));
        }
    }
    ExitCode::from(finds)
}

/// Damages the seeds of a target until its time is over, and gives the number of finds.
fn search(name: &str, body: Body, time: Duration) -> u8 {
    let seeds = seeds(name);
    let artifacts = repository().join("tests/fuzz/artifacts").join(name);
    let (started, mut number, mut finds) = (Instant::now(), 0_u64, 0);
    while started.elapsed() < time && finds < MOST_FINDS && !seeds.is_empty() {
        let seed = &seeds[usize::try_from(number).unwrap_or(0) % seeds.len()];
        let mut bytes = seed.clone();
        for damage in 0..=number % MOST_DAMAGES {
            if !bytes.is_empty() {
                bytes = mutated(&bytes, number * MOST_DAMAGES + damage).0;
            }
        }
        let begun = Instant::now();
        let panicked = catch_unwind(AssertUnwindSafe(|| body(&bytes))).is_err();
        if panicked || begun.elapsed() > SLOW {
            finds += 1;
            keep(&artifacts, if panicked { "panic" } else { "slow" }, number, &bytes);
        }
        number += 1;
    }
    let took = started.elapsed().as_secs();
    println!("{name}: {} seeds, {number} runs in {took} s, {finds} finds", seeds.len());
    finds
}

fn seeds(name: &str) -> Vec<Vec<u8>> {
    let folder = repository().join("tests/fuzz/corpus").join(name);
    let Ok(listed) = fs::read_dir(folder) else { return Vec::new() };
    let mut paths: Vec<PathBuf> = listed.flatten().map(|entry| entry.path()).collect();
    paths.sort();
    paths.into_iter().filter_map(|path| fs::read(path).ok()).collect()
}

fn keep(folder: &Path, kind: &str, number: u64, bytes: &[u8]) {
    let path = folder.join(format!("{kind}-{number}"));
    let kept = fs::create_dir_all(folder).and_then(|()| fs::write(&path, bytes));
    println!("{}: {kept:?}", path.display());
}
