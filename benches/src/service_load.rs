//! A service under the load of a busy night, on this machine alone.
//!
//! Clients send pictures of 12 megapixels side by side, each file another one, and ask until each is
//! counted. The command line estimates the same files in one process, before and afterwards; the figure to
//! quote is the ratio of both. Then the same uploads are asked about: other sizes, ink sets and numbers of
//! copies, one question after the other. Memory is the sum of what the service and its counting
//! processes hold, looked at twenty times a second; pages that they share count several times.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicU32, AtomicU64, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use clap::Args;
use inkfathom_tests::RunningService;
use inkfathom_tests::http::Question;
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::bench_error::BenchError;
use crate::mosaic::PHONE_SIZED;
use crate::numbered_pictures::NumberedPictures;
use crate::program::Program;

/// Send many 12-megapixel pictures to a service from many clients, then ask what if
///
/// Prints throughput against the command line, memory and times of questions, as Markdown. Fails when
/// an upload is lost, memory passes 400 MB, or, with a hundred uploads and more, the service takes in less
/// than two thirds of what the command line estimates in the same time.
#[derive(Debug, Args)]
pub(crate) struct ServiceLoad {
    /// Number of uploads; a tenth takes a tenth of the time
    #[arg(long, value_name = "COUNT", default_value = "200",
          value_parser = clap::value_parser!(u32).range(1..=2000))]
    uploads: u32,
    /// Number of clients side by side
    #[arg(long, value_name = "COUNT", default_value = "16",
          value_parser = clap::value_parser!(u32).range(1..=64))]
    clients: u32,
    /// Number of questions
    #[arg(long, value_name = "COUNT", default_value = "2000",
          value_parser = clap::value_parser!(u32).range(20..))]
    questions: u32,
}

/// The sets that the service offers where nothing else is configured.
const SETS: [&str; 3] = ["five", "nine", "eleven"];
/// Memory of the service with its counting processes, in bytes.
const MOST_MEMORY: u64 = 400_000_000;
/// Throughput over that of the command line: 85 % are wanted, with a quarter of slack for busy machines.
const LEAST_THROUGHPUT: f64 = 0.85 / 1.25;
/// Fewer uploads say little about throughput: clients look whether they are counted twice a second. Our
/// choice, some ten seconds.
const FEWEST_FOR_THROUGHPUT: u32 = 100;

impl ServiceLoad {
    /// Measures, and describes the result.
    pub(crate) fn run(&self) -> Result<String, BenchError> {
        let folder = TempDir::new().map_err(BenchError::file("a temporary folder"))?;
        let program = Program::build(folder.path().join("cache"))?;
        let pictures = NumberedPictures::make(PHONE_SIZED, folder.path())?;
        let files = self.files(&pictures, folder.path())?;
        // Once on each set, so that separations are built for both.
        for set in SETS {
            program.estimate(&files[0], set, &[])?;
        }
        let before = estimated(&program, &files)?;
        let data = folder.path().join("data");
        let service = RunningService::start(program.bare(), &data, &RunningService::UNHINDERED);
        let service = service.map_err(BenchError::service("its start"))?;
        let watching = Memory::default();
        let (sent, took, asked) = thread::scope(|scope| {
            scope.spawn(|| watching.watch(service.process()));
            let begun = Instant::now();
            let sent = self.send_all(&service, &files);
            let took = begun.elapsed();
            let asked = sent.as_ref().ok().map(|links| self.ask(&service, links));
            watching.is_over.store(true, Ordering::Relaxed);
            (sent, took, asked)
        });
        let (sent, asked) = (sent?, asked.transpose()?.unwrap_or_default());
        let after = estimated(&program, &files)?;
        let memory = watching.most.load(Ordering::Relaxed);
        let own = f64::midpoint(before.as_secs_f64(), after.as_secs_f64());
        let throughput = own / took.as_secs_f64();
        let described = self.described(took, [before, after], throughput, memory, &asked);
        let lost = self.uploads as usize - sent.len();
        let is_slow = self.uploads >= FEWEST_FOR_THROUGHPUT && throughput < LEAST_THROUGHPUT;
        if lost > 0 || memory > MOST_MEMORY || is_slow {
            let detail = format!(
                "lost {lost} uploads, took more than 400 MB or less in than it must:\n{described}"
            );
            return Err(BenchError::Service { detail });
        }
        Ok(described)
    }

    fn files(
        &self,
        pictures: &NumberedPictures,
        folder: &Path,
    ) -> Result<Vec<PathBuf>, BenchError> {
        let file = |number: u32| {
            let path = folder.join(format!("{number}.jpg"));
            fs::write(&path, pictures.numbered(number)).map_err(BenchError::file(&path))?;
            Ok(path)
        };
        (0..self.uploads).map(file).collect()
    }

    /// Sends every file and waits until it is counted; gives the addresses of the links.
    fn send_all(
        &self,
        service: &RunningService,
        files: &[PathBuf],
    ) -> Result<Vec<String>, BenchError> {
        let next = AtomicU32::new(0);
        let client = || {
            let mut links = Vec::new();
            while let Some(file) = files.get(next.fetch_add(1, Ordering::Relaxed) as usize) {
                links.push(sent(service, file)?);
            }
            for link in &links {
                let form = service.counted(link, None).map_err(BenchError::service("waiting"))?;
                if form["state"] != "counted" {
                    return Err(BenchError::Service { detail: format!("answered {form}") });
                }
            }
            Ok(links)
        };
        let links: Vec<Vec<String>> = thread::scope(|scope| {
            let clients: Vec<_> = (0..self.clients).map(|_| scope.spawn(client)).collect();
            let ended = clients.into_iter().map(|client| {
                let panicked =
                    || BenchError::Service { detail: "had a client that panicked".into() };
                client.join().unwrap_or_else(|_| Err(panicked()))
            });
            ended.collect::<Result<_, _>>()
        })?;
        // Each upload once: none lost, none doubled.
        Ok(links.into_iter().flatten().collect::<BTreeSet<_>>().into_iter().collect())
    }

    /// Asks what if, and gives the times: of first questions about a set, and of further ones.
    fn ask(&self, service: &RunningService, links: &[String]) -> Result<Vec<Duration>, BenchError> {
        // What is asked in advance is done when nothing waits: a customer needs a while to look, too.
        thread::sleep(Duration::from_secs(2));
        let mut times = Vec::new();
        for (number, link) in (0..self.questions).zip(links.iter().cycle()) {
            let set = SETS[(number / 7) as usize % SETS.len()];
            let (width, copies) = (20 + number % 90, 1 + number % 5);
            let question =
                json!({"ink_set": [set], "width": format!("{width}cm"), "copies": copies});
            let begun = Instant::now();
            let answer = service.post(&format!("{link}/estimate"), &question);
            times.push(begun.elapsed());
            let answer = answer.map_err(BenchError::service("a question"))?;
            if answer.status != 200 {
                return Err(BenchError::Service { detail: format!("answered {}", answer.text()) });
            }
        }
        times.sort();
        Ok(times)
    }

    fn described(
        &self,
        took: Duration,
        own: [Duration; 2],
        throughput: f64,
        memory: u64,
        asked: &[Duration],
    ) -> String {
        let part = |percent: usize| {
            let place = (asked.len() * percent / 100).min(asked.len().saturating_sub(1));
            asked.get(place).map_or(f64::NAN, |time| 1000.0 * time.as_secs_f64())
        };
        let rate = |seconds: f64| f64::from(self.uploads) / seconds;
        let mut text = String::new();
        // Writing to a string can't fail.
        let _ = writeln!(
            text,
            "# A service under load\n\n{} uploads of 12 megapixels from {} clients, none lost.\n\n\
             | | seconds | pictures a second |\n|---|--:|--:|\n\
             | command line, before | {:.1} | {:.1} |\n| service | {:.1} | {:.1} |\n\
             | command line, afterwards | {:.1} | {:.1} |\n\n\
             Service over command line: {:.0} %. Most memory with counting processes: {} MB.\n\n\
             {} questions, one after the other: half within {:.1} ms, 95 % within {:.1} ms, all within \
             {:.1} ms.",
            self.uploads,
            self.clients,
            own[0].as_secs_f64(),
            rate(own[0].as_secs_f64()),
            took.as_secs_f64(),
            rate(took.as_secs_f64()),
            own[1].as_secs_f64(),
            rate(own[1].as_secs_f64()),
            100.0 * throughput,
            memory / 1_000_000,
            asked.len(),
            part(50),
            part(95),
            part(100),
        );
        text
    }
}

/// Sends a file; gives the address of its link.
fn sent(service: &RunningService, file: &Path) -> Result<String, BenchError> {
    let bytes = fs::read(file).map_err(BenchError::file(file))?;
    let asked = Question::new("POST", "/api/v1/public/uploads?name=load.jpg&width=60cm");
    let answer = service.ask(&asked.with(&bytes)).map_err(BenchError::service("an upload"))?;
    match (answer.status, &answer.json()["token"]) {
        (202, Value::String(token)) => Ok(format!("/api/v1/shared/{token}")),
        _ => Err(BenchError::Service { detail: format!("answered {}", answer.text()) }),
    }
}

/// The command line on the same files, none of which it knows.
fn estimated(program: &Program, files: &[PathBuf]) -> Result<Duration, BenchError> {
    program.forget_pictures()?;
    let mut command = program.estimating(files);
    let begun = Instant::now();
    let output = command.output().map_err(BenchError::file("inkfathom"))?;
    if output.status.success() {
        return Ok(begun.elapsed());
    }
    let detail = String::from_utf8_lossy(&output.stderr).into_owned();
    Err(BenchError::Program { command: format!("{command:?}"), detail })
}

/// What the service and its counting processes hold.
#[derive(Default)]
struct Memory {
    most: AtomicU64,
    is_over: AtomicBool,
}

impl Memory {
    fn watch(&self, process: u32) {
        while !self.is_over.load(Ordering::Relaxed) {
            self.most.fetch_max(held_with_children(process), Ordering::Relaxed);
            thread::sleep(Duration::from_millis(50));
        }
    }
}

/// Bytes that a process and its children hold, as Linux tells; nothing elsewhere.
fn held_with_children(process: u32) -> u64 {
    let threads = fs::read_dir(format!("/proc/{process}/task")).into_iter().flatten().flatten();
    let children: String = threads
        .filter_map(|thread| fs::read_to_string(thread.path().join("children")).ok())
        .collect();
    let children = children.split_whitespace().filter_map(|number| number.parse().ok());
    std::iter::once(process).chain(children).map(held).sum()
}

fn held(process: u32) -> u64 {
    let status = fs::read_to_string(format!("/proc/{process}/status")).unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"));
    let kibibytes = line.and_then(|line| line.trim().split(' ').next()?.parse::<u64>().ok());
    kibibytes.unwrap_or(0) << 10
}
