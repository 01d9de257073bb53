use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use crate::jobs::{HEADER, PICTURES, Studio, eight_jobs, picture};
use crate::program::{CACHE, inkfathom};

/// Where the header of a database keeps the form, by the description of the file format.
const FORM: usize = 60;

#[test]
fn a_file_that_is_no_ledger_is_refused_and_left_as_it_is() {
    let studio = Studio::new();
    studio.import(&eight_jobs()).ending_with(0);
    let mut newer = fs::read(&studio.ledger).unwrap();
    newer[FORM..FORM + 4].copy_from_slice(&99_u32.to_be_bytes());
    let mut foreign = fs::read(&studio.ledger).unwrap();
    foreign[FORM + 8..FORM + 12].copy_from_slice(&7_u32.to_be_bytes());
    let files: [(&str, &[u8], &str); 4] = [
        (
            "text.sqlite",
            b"This is no database, although it is long enough to be one. ".repeat(40).leak(),
            "is not a ledger",
        ),
        ("newer.sqlite", &newer, "has the form 99 of a later version"),
        ("foreign.sqlite", &foreign, "a database of another program"),
        ("empty.sqlite", b"", "it is empty"),
    ];
    for (name, bytes, words) in files {
        let path = studio.path(name);
        fs::write(&path, bytes).unwrap();
        for command in ["list", "export"] {
            let run = inkfathom(["jobs", command, "--ledger", path.to_str().unwrap()]);
            let run = run.ending_with(9);
            assert!(run.messages.contains(words), "{name}: {}", run.messages);
        }
        assert_eq!(fs::read(&path).unwrap(), bytes, "{name} was touched");
    }
}

#[test]
fn a_missing_ledger_is_told_with_what_begins_one() {
    let studio = Studio::new();
    let run = studio.run(&["jobs", "list"]).ending_with(9);
    assert!(run.messages.contains("`jobs import` begin one"), "{}", run.messages);
    let shore = picture("shore.png");
    studio.run(&["estimate", &shore, "--width", "60cm"]).ending_with(9);
    assert!(!Path::new(&studio.ledger).exists());
}

#[test]
fn a_ledger_changes_no_estimate_until_there_is_a_calibration() {
    let studio = Studio::new();
    studio.import(&eight_jobs()).ending_with(0);
    let edge = "testimages/edge/";
    let edges = ["crop-alpha.png", "crop-orientation-6.jpg", "crop-16.tif", "crop-palette.tif"];
    let files: Vec<String> = PICTURES
        .iter()
        .map(|name| picture(name))
        .chain(edges.iter().map(|name| format!("{edge}{name}")))
        .collect();
    for intent in ["relative", "absolute"] {
        let arguments: Vec<&str> =
            ["estimate", "--width", "60cm", "--format", "json", "--intent", intent]
                .into_iter()
                .chain(files.iter().map(String::as_str))
                .collect();
        let without = inkfathom(arguments.iter().copied()).ending_with(0);
        for time in ["counted", "recalled"] {
            let with = studio.run(&arguments).ending_with(0);
            assert_eq!(with.data, without.data, "{time}, {intent}");
            assert_eq!(with.messages, without.messages, "{time}, {intent}");
        }
    }
}

/// Jobs of a table whose import is killed: enough for writing to take a while.
const ROWS: usize = 800;

fn long_table() -> String {
    let one_pixel =
        inkfathom_tests::repository().canonicalize().unwrap().join("testimages/edge/one-pixel.png");
    let mut table = format!("{HEADER},total_ml\n");
    for row in 0..ROWS {
        let (day, width) = (1 + row % 28, 100 + row);
        table += &format!(
            "2026-10-{day:02},{},five,{width},1,weighing,0.01,,{row}.5\n",
            one_pixel.display()
        );
    }
    table
}

/// Imports a table and kills the import after a while; says whether it was still at it.
fn killed_import(studio: &Studio, table: &Path, after: Duration) -> bool {
    let mut import = Command::new(env!("CARGO_BIN_EXE_inkfathom"))
        .args(["jobs", "import", table.to_str().unwrap(), "--ledger", &studio.ledger])
        .env("XDG_CACHE_HOME", &*CACHE)
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    sleep(after);
    let running = import.try_wait().unwrap().is_none();
    import.kill().unwrap();
    import.wait().unwrap();
    running
}

#[test]
fn an_import_that_is_killed_leaves_all_of_it_or_nothing() {
    let timed = Studio::new();
    let begun = Instant::now();
    timed.import(&long_table()).ending_with(0);
    let whole = begun.elapsed();
    let studio = Studio::new();
    studio.import(&eight_jobs()).ending_with(0);
    let table = studio.path("long.csv");
    fs::write(&table, long_table()).unwrap();
    // Jobs are written at the end: most kills fall there.
    let mut killed = 0;
    for percent in [30, 70, 85, 92, 97] {
        killed += usize::from(killed_import(&studio, &table, whole * percent / 100));
        let jobs = studio.jobs().len();
        assert!(jobs == 8 || jobs == 8 + ROWS, "{jobs} jobs after a kill at {percent} %");
    }
    assert!(killed > 0, "every import ended before it was killed");
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told_and_loses_nothing() {
    let studio = Studio::new();
    studio.import(&eight_jobs()).ending_with(0);
    let before = studio.jobs();
    let table = studio.path("long.csv");
    fs::write(&table, long_table()).unwrap();
    // Files may not grow: writing fails as on a full disk, where the log needs room.
    let script = "trap '' XFSZ; ulimit -f 64; exec \"$0\" \"$@\"";
    let program = env!("CARGO_BIN_EXE_inkfathom");
    let output = Command::new("sh")
        .args(["-c", script, program, "jobs", "import", table.to_str().unwrap()])
        .args(["--ledger", &studio.ledger])
        .env("XDG_CACHE_HOME", &*CACHE)
        .output()
        .unwrap();
    let messages = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(9), "{messages}");
    assert!(messages.contains("can't be written"), "{messages}");
    assert_eq!(studio.jobs(), before);
}
