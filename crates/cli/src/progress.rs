use std::fs;
use std::io::{IsTerminal, stderr};
use std::path::Path;
use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::file_list::Listed;

/// Shows at a terminal how far a run over several files has come; elsewhere it is silent.
///
/// The way is measured in bytes, because files differ in size more than in speed. The bar has no
/// colours.
pub(crate) struct Progress(ProgressBar);

/// Rate and time left stand behind the bar.
const FORM: &str = "{bar:24} {msg} files, {bytes_per_sec}, {eta} left";

/// How often the bar is drawn anew while nothing ends: our choice.
const TICK: Duration = Duration::from_millis(250);

impl Progress {
    /// Begins a bar, where standard error is a terminal and there is more than one file.
    pub(crate) fn over(files: &[Listed]) -> Self {
        if files.len() < 2 || !stderr().is_terminal() {
            return Self(ProgressBar::hidden());
        }
        let all: u64 = files.iter().map(bytes_of).sum();
        let bar = ProgressBar::with_draw_target(Some(all), ProgressDrawTarget::stderr());
        let style = ProgressStyle::with_template(FORM)
            .unwrap_or_else(|_| ProgressStyle::default_bar())
            .progress_chars("=> ");
        bar.set_style(style);
        bar.set_message(format!("0 of {}", files.len()));
        bar.enable_steady_tick(TICK);
        Self(bar)
    }

    /// One more file is done, `done` of `all` now.
    pub(crate) fn advance(&self, file: &Listed, done: usize, all: usize) {
        if !self.0.is_hidden() {
            self.0.set_message(format!("{done} of {all}"));
            self.0.inc(bytes_of(file));
        }
    }

    /// Takes the bar away.
    pub(crate) fn finish(&self) {
        self.0.finish_and_clear();
    }
}

/// Size of a file; what can't be read takes no time.
fn bytes_of(file: &Listed) -> u64 {
    let size = |path: &Path| fs::metadata(path).map_or(0, |facts| facts.len());
    match file {
        Listed::File(path) => size(path),
        Listed::Unusable { .. } => 0,
    }
}
