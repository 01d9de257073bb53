use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

use ledger::UploadState;

/// What is counted for whoever watches the service.
#[derive(Default)]
pub(crate) struct Metrics {
    received: AtomicU64,
    counted: AtomicU64,
    refused: AtomicU64,
    failed: AtomicU64,
    separations: AtomicU64,
    counting: Times,
    answering: Times,
    /// By method, address as the program writes it, and status.
    requests: Mutex<BTreeMap<(String, String, u16), u64>>,
}

/// Bounds of the steps into which times are sorted, in seconds; our choice, around what a what-if and a
/// picture take.
const STEPS: [f64; 10] = [0.001, 0.005, 0.02, 0.05, 0.1, 0.25, 0.5, 1.0, 5.0, 30.0];

#[derive(Default)]
struct Times {
    /// How many took at most as long as each step.
    steps: [AtomicU64; STEPS.len()],
    all: AtomicU64,
    microseconds: AtomicU64,
}

impl Times {
    fn add(&self, time: Duration) {
        for (bound, count) in STEPS.iter().zip(&self.steps) {
            if time.as_secs_f64() <= *bound {
                count.fetch_add(1, Ordering::Relaxed);
            }
        }
        self.all.fetch_add(1, Ordering::Relaxed);
        let microseconds = u64::try_from(time.as_micros()).unwrap_or(u64::MAX);
        self.microseconds.fetch_add(microseconds, Ordering::Relaxed);
    }

    fn write(&self, text: &mut String, name: &str, help: &str) {
        let mut line = |line: String| text.push_str(&line);
        line(format!("# HELP {name} {help}\n# TYPE {name} histogram\n"));
        for (bound, count) in STEPS.iter().zip(&self.steps) {
            line(format!("{name}_bucket{{le=\"{bound}\"}} {}\n", read(count)));
        }
        let all = read(&self.all);
        line(format!("{name}_bucket{{le=\"+Inf\"}} {all}\n"));
        #[expect(clippy::cast_precision_loss, reason = "a sum of times, for charts")]
        let seconds = read(&self.microseconds) as f64 / 1e6;
        line(format!("{name}_sum {seconds}\n{name}_count {all}\n"));
    }
}

fn read(count: &AtomicU64) -> u64 {
    count.load(Ordering::Relaxed)
}

impl Metrics {
    pub(crate) fn count_received(&self) {
        self.received.fetch_add(1, Ordering::Relaxed);
    }

    pub(crate) fn count_ended(&self, state: UploadState) {
        let count = match state {
            UploadState::Received => &self.received,
            UploadState::Counted => &self.counted,
            UploadState::Refused => &self.refused,
            UploadState::Failed => &self.failed,
        };
        count.fetch_add(1, Ordering::Relaxed);
    }

    /// Counts that the colours of an upload were separated on so many sets, for a question or ahead of one.
    pub(crate) fn count_separations(&self, sets: usize) {
        self.separations.fetch_add(sets as u64, Ordering::Relaxed);
    }

    pub(crate) fn count_time(&self, time: Duration) {
        self.counting.add(time);
    }

    pub(crate) fn answer_time(&self, time: Duration) {
        self.answering.add(time);
    }

    /// Counts an answered request. `path` is the address as the program writes it, with names in
    /// place of values, so that strangers can't make up new ones.
    pub(crate) fn count_request(&self, method: &str, path: &str, status: u16) {
        let mut requests = self.requests.lock().unwrap_or_else(PoisonError::into_inner);
        *requests.entry((method.to_owned(), path.to_owned(), status)).or_default() += 1;
    }

    /// The text form of Prometheus, version 0.0.4.
    pub(crate) fn text(&self, waiting: usize, counting: usize) -> String {
        let mut text = String::from(
            "# HELP inkfathom_uploads_total Uploads by what became of them.\n\
             # TYPE inkfathom_uploads_total counter\n",
        );
        let ends = [
            ("received", &self.received),
            ("counted", &self.counted),
            ("refused", &self.refused),
            ("failed", &self.failed),
        ];
        for (state, count) in ends {
            // Writing to a string can't fail.
            let _ = writeln!(text, "inkfathom_uploads_total{{state=\"{state}\"}} {}", read(count));
        }
        text.push_str(
            "# HELP inkfathom_queue Uploads that are not done.\n# TYPE inkfathom_queue gauge\n",
        );
        for (state, count) in [("waiting", waiting), ("counting", counting)] {
            let _ = writeln!(text, "inkfathom_queue{{state=\"{state}\"}} {count}");
        }
        let _ = writeln!(
            text,
            "# HELP inkfathom_separations_total Sets on which the colours of an upload were \
             separated, for a question or ahead of one; a further size takes none.\n\
             # TYPE inkfathom_separations_total counter\n\
             inkfathom_separations_total {}",
            read(&self.separations)
        );
        self.counting.write(&mut text, "inkfathom_counting_seconds", "Time to count an upload.");
        self.answering.write(
            &mut text,
            "inkfathom_answering_seconds",
            "Time to answer a question.",
        );
        text.push_str(
            "# HELP inkfathom_requests_total Answered requests.\n\
             # TYPE inkfathom_requests_total counter\n",
        );
        let requests = self.requests.lock().unwrap_or_else(PoisonError::into_inner);
        for ((method, path, status), count) in requests.iter() {
            let _ = writeln!(
                text,
                "inkfathom_requests_total{{method=\"{method}\",path=\"{path}\",status=\"{status}\"}} {count}"
            );
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_sorted_into_steps_that_add_up() {
        let metrics = Metrics::default();
        metrics.answer_time(Duration::from_millis(3));
        metrics.answer_time(Duration::from_secs(60));
        metrics.count_request("GET", "/api/v1/uploads/{id}", 200);
        let text = metrics.text(2, 1);
        for line in [
            "inkfathom_answering_seconds_bucket{le=\"0.001\"} 0",
            "inkfathom_answering_seconds_bucket{le=\"0.005\"} 1",
            "inkfathom_answering_seconds_bucket{le=\"+Inf\"} 2",
            "inkfathom_queue{state=\"waiting\"} 2",
            "inkfathom_requests_total{method=\"GET\",path=\"/api/v1/uploads/{id}\",status=\"200\"} 1",
        ] {
            assert!(text.contains(line), "{text}");
        }
    }
}
