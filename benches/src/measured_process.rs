use std::fs;
use std::process::{Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use crate::bench_error::BenchError;

/// What one run of a program took, from its start to its end.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Run {
    pub(crate) seconds: f64,
    /// Megabytes of memory at its highest, where the system tells it (Linux).
    pub(crate) peak_megabytes: Option<f64>,
}

/// How often a program's memory is looked at. Its highest value never falls, so that only the last
/// moment is missed.
const LOOK_EVERY: Duration = Duration::from_millis(2);

impl Run {
    /// Runs a program to its end and throws its output away.
    pub(crate) fn of(command: &mut Command) -> Result<Self, BenchError> {
        let words = format!("{command:?}");
        let failed = |detail: String| BenchError::Program { command: words.clone(), detail };
        let start = Instant::now();
        let mut child = command
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .map_err(|fault| failed(fault.to_string()))?;
        let id = child.id();
        let watching = thread::spawn(move || peak_until_gone(id));
        let status = child.wait().map_err(|fault| failed(fault.to_string()))?;
        let seconds = start.elapsed().as_secs_f64();
        let peak_megabytes = watching.join().ok().flatten();
        if status.success() {
            Ok(Self { seconds, peak_megabytes })
        } else {
            Err(failed(status.to_string()))
        }
    }
}

fn peak_until_gone(id: u32) -> Option<f64> {
    let mut highest = None;
    while let Some(now) = peak(id) {
        highest = Some(now);
        thread::sleep(LOOK_EVERY);
    }
    highest
}

/// The line `VmHWM` of a process, in megabytes; nothing once it has ended.
fn peak(id: u32) -> Option<f64> {
    let status = fs::read_to_string(format!("/proc/{id}/status")).ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kibibytes: f64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
    Some(kibibytes * 1024.0 / 1e6)
}
