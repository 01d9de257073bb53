use std::fs;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;
use std::time::{Duration, UNIX_EPOCH};

use assert_cmd::Command;
use inkfathom_tests::repository;
use serde_json::Value;

/// Longer than any run here takes on a slow machine, shorter than anybody waits for a hung one.
const HUNG: Duration = Duration::from_secs(300);

/// The codes of the table that `inkfathom --help` prints.
const DOCUMENTED_CODES: [i32; 10] = [0, 2, 3, 4, 5, 6, 7, 8, 9, 10];

/// A cache that only runs of this very build share: nobody's own is read or filled, and no
/// separation of an earlier build counts. The built-in sets are put there once, before tests ask
/// for them side by side.
pub(crate) static CACHE: LazyLock<PathBuf> = LazyLock::new(|| {
    let program = fs::metadata(env!("CARGO_BIN_EXE_inkfathom")).unwrap();
    let built = program.modified().unwrap().duration_since(UNIX_EPOCH).unwrap();
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("command-line-cache");
    let of_build = folder.join(format!("{}-{}", program.len(), built.as_nanos()));
    if !of_build.exists() {
        // It is absent the first time.
        let _ = fs::remove_dir_all(&folder);
        let sets = ["--ink-set", "five", "--ink-set", "nine", "--ink-set", "eleven"];
        let arguments = ["compare", "testimages/edge/one-pixel.png", "--width", "1cm"];
        inkfathom_caching_in(&of_build, arguments.into_iter().chain(sets)).ending_with(0);
    }
    of_build
});

/// What a run of the program left.
pub(crate) struct Run {
    pub(crate) code: i32,
    /// Standard output.
    pub(crate) data: String,
    /// Standard error.
    pub(crate) messages: String,
}

/// Runs the program in the repository's root folder.
pub(crate) fn inkfathom<'a>(arguments: impl IntoIterator<Item = &'a str>) -> Run {
    inkfathom_caching_in(&CACHE, arguments)
}

/// Runs the program with another cache folder.
pub(crate) fn inkfathom_caching_in<'a>(
    cache: &Path,
    arguments: impl IntoIterator<Item = &'a str>,
) -> Run {
    run(Command::new(env!("CARGO_BIN_EXE_inkfathom")).args(arguments), cache)
}

/// Runs the program with a text on standard input.
pub(crate) fn inkfathom_reading<'a>(
    input: &str,
    arguments: impl IntoIterator<Item = &'a str>,
) -> Run {
    let mut command = Command::new(env!("CARGO_BIN_EXE_inkfathom"));
    run(command.args(arguments).write_stdin(input), &CACHE)
}

/// Runs the program with so many threads for its computing.
pub(crate) fn inkfathom_with_threads<'a>(
    threads: &str,
    arguments: impl IntoIterator<Item = &'a str>,
) -> Run {
    let mut command = Command::new(env!("CARGO_BIN_EXE_inkfathom"));
    run(command.args(arguments).env("RAYON_NUM_THREADS", threads), &CACHE)
}

/// Runs the program where it can address no more than so many kibibytes.
#[cfg(target_os = "linux")]
pub(crate) fn inkfathom_within<'a>(
    kibibytes: u32,
    arguments: impl IntoIterator<Item = &'a str>,
) -> Run {
    let limited = format!("ulimit -v {kibibytes} && exec \"$0\" \"$@\"");
    let program = env!("CARGO_BIN_EXE_inkfathom");
    run(Command::new("sh").args(["-c", &limited, program]).args(arguments), &CACHE)
}

fn run(command: &mut Command, cache: &Path) -> Run {
    command.env("XDG_CACHE_HOME", cache);
    // Nobody's own ledger has a say in the tests.
    command.env("XDG_DATA_HOME", cache.join("no-ledger-here"));
    let output = command.current_dir(repository()).timeout(HUNG).output().unwrap();
    let run = Run {
        code: output.status.code().expect("the program ends by itself, in time"),
        data: String::from_utf8(output.stdout).unwrap(),
        messages: String::from_utf8(output.stderr).unwrap(),
    };
    assert!(!run.messages.contains("panicked"), "{}", run.messages);
    assert!(DOCUMENTED_CODES.contains(&run.code), "code {}: {}", run.code, run.messages);
    run
}

impl Run {
    /// The run, after a look at its exit code.
    pub(crate) fn ending_with(self, code: i32) -> Self {
        assert_eq!(self.code, code, "{}", self.messages);
        self
    }

    /// The JSON document on standard output, which holds nothing else.
    pub(crate) fn document(&self) -> Document {
        Document(serde_json::from_str(&self.data).expect("standard output is one JSON document"))
    }

    /// The messages that contain some words.
    pub(crate) fn messages_with<'a>(&'a self, words: &'a str) -> impl Iterator<Item = &'a str> {
        self.messages.lines().filter(move |line| line.contains(words))
    }
}

/// The JSON form of a result.
pub(crate) struct Document(pub(crate) Value);

impl Document {
    /// The files in the order given.
    pub(crate) fn files(&self) -> &Vec<Value> {
        self.0["files"].as_array().unwrap()
    }

    /// The file whose path ends like this.
    pub(crate) fn file(&self, name: &str) -> &Value {
        let named = |file: &&Value| text(&file["file"]).ends_with(name);
        self.files().iter().find(named).unwrap_or_else(|| panic!("no {name} in {}", self.0))
    }

    /// A file's estimate on a set, by the set's place among those asked for.
    pub(crate) fn estimate(&self, name: &str, ink_set: usize) -> &Value {
        let estimate = &self.file(name)["estimates"][ink_set];
        assert!(estimate.is_object(), "{name} has no estimate {ink_set}: {}", self.file(name));
        estimate
    }
}

/// A number of a document.
pub(crate) fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

/// A text of a document.
pub(crate) fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_else(|| panic!("{value} is no text"))
}

/// The entries of a list of a document.
pub(crate) fn list(value: &Value) -> &Vec<Value> {
    value.as_array().unwrap_or_else(|| panic!("{value} is no list"))
}

/// The sentences of an estimate's assumptions that carry a weight.
pub(crate) fn assumptions<'a>(estimate: &'a Value, weight: &str) -> Vec<&'a str> {
    let all = list(&estimate["assumptions"]).iter();
    all.filter(|assumption| assumption["weight"] == weight)
        .map(|assumption| text(&assumption["text"]))
        .collect()
}
