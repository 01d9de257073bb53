use std::collections::BTreeSet;
use std::fs;
use std::sync::LazyLock;

use inkfathom_tests::repository;

use crate::pictures::pictures_in;
use crate::program::{Run, assumptions, inkfathom, text};

/// A row of the table of `testimages/bad/README.md` for one file.
struct Expectation {
    file: String,
    /// What must become of it, in the table's words.
    words: String,
}

/// What a message says, by what the table expects.
const SAID: [(&str, &[&str]); 10] = [
    ("error: not a known picture format", &["which is no picture of a known kind"]),
    ("error: empty file", &["the file is empty"]),
    ("error: cut short", &["ends early"]),
    ("error: picture data incomplete", &["is damaged: "]),
    ("error: size limit or data incomplete", &["over the limit of", "which take at least"]),
    ("error: size limit", &["over the limit of"]),
    ("error: a side of zero", &["pixels; open it"]),
    ("error: checksum", &["CRC"]),
    ("error: damaged data", &["is damaged: "]),
    ("error: data outside the file", &["ends early"]),
];

static BAD_FILES: LazyLock<Run> = LazyLock::new(|| {
    let files = pictures_in("bad");
    let arguments = ["estimate", "--width", "60cm", "--format", "json"].into_iter();
    inkfathom(arguments.chain(files.iter().map(String::as_str))).ending_with(3)
});

fn expectations() -> Vec<Expectation> {
    let table = fs::read_to_string(repository().join("testimages/bad/README.md")).unwrap();
    let rows = table.lines().filter(|line| line.starts_with("| `"));
    rows.flat_map(|row| {
        let cells: Vec<&str> = row.split('|').map(str::trim).collect();
        let files = cells[1].split('`').skip(1).step_by(2);
        files
            .map(|file| Expectation { file: file.to_owned(), words: cells[3].to_owned() })
            .collect::<Vec<_>>()
    })
    .collect()
}

#[test]
fn the_table_names_every_bad_file() {
    let named: BTreeSet<String> =
        expectations().iter().map(|row| format!("testimages/bad/{}", row.file)).collect();
    assert_eq!(named, pictures_in("bad").into_iter().collect());
}

#[test]
fn what_must_be_refused_is_refused_with_what_is_wrong() {
    let document = BAD_FILES.document();
    for Expectation { file, words } in expectations() {
        let Some((_, said)) = SAID.iter().find(|(expected, _)| words.starts_with(expected)) else {
            assert!(words.starts_with("warning: "), "{file}: no message for `{words}`");
            continue;
        };
        assert_eq!(document.file(&file)["status"], "failed", "{file}: {words}");
        let error = text(&document.file(&file)["error"]);
        assert!(said.iter().any(|fragment| error.contains(fragment)), "{file}: {error}");
        assert!(error.contains("; "), "{file} lacks a remedy: {error}");
        assert_eq!(BAD_FILES.messages_with(&format!("error: testimages/bad/{file}: ")).count(), 1);
    }
}

#[test]
fn what_may_be_used_is_warned_about_or_refused() {
    let document = BAD_FILES.document();
    let doubtful = expectations().into_iter().filter(|row| row.words.starts_with("warning: "));
    let silent: Vec<String> = doubtful
        .map(|row| row.file)
        .filter(|file| {
            let entry = document.file(file);
            let path = format!("testimages/bad/{file}: ");
            let (kind, words) = if entry["status"] == "failed" {
                ("error", text(&entry["error"]).contains("profile"))
            } else {
                let warnings = assumptions(document.estimate(file, 0), "warning");
                ("warning", warnings.iter().any(|warning| warning.contains("profile")))
            };
            !words || BAD_FILES.messages_with(&format!("{kind}: {path}")).count() == 0
        })
        .collect();
    assert!(silent.is_empty(), "nothing was said about {silent:?}");
}

#[cfg(target_os = "linux")]
#[test]
fn claims_of_size_take_no_memory() {
    use crate::program::inkfathom_within;

    // A hundredth of what the largest claim would take.
    let one_gibibyte = 1 << 20;
    let claims = ["huge-claim.png", "largest-claim.png", "huge-claim.jpg", "huge-claim.tif"]
        .map(|name| format!("testimages/bad/{name}"));
    let arguments = ["estimate", "--width", "60cm"].into_iter();
    let run = inkfathom_within(one_gibibyte, arguments.chain(claims.iter().map(String::as_str)));
    run.ending_with(4);
}

#[cfg(unix)]
#[test]
fn paths_that_lead_to_no_file_are_named_with_the_reason() {
    let folder = tempfile::tempdir().unwrap();
    let dangling = folder.path().join("dangling.jpg");
    std::os::unix::fs::symlink("nowhere.jpg", &dangling).unwrap();
    let dangling = dangling.to_str().unwrap();
    let sound = "testimages/edge/crop-8.png";
    let paths = [dangling, "testimages/edge/no-such.png", sound];
    let arguments = ["estimate", "--width", "60cm", "--format", "json"];
    let run = inkfathom(arguments.into_iter().chain(paths)).ending_with(3);
    for path in &paths[..2] {
        let reason = format!("error: {path}: opening it failed: ");
        assert_eq!(run.messages_with(&reason).count(), 1, "{}", run.messages);
    }
    assert_eq!(run.document().file(sound)["status"], "estimated");
}

#[test]
fn a_picture_under_a_wrong_extension_is_read_by_its_content() {
    let [wrong, right] =
        ["png-named.jpg", "crop-8.png"].map(|name| format!("testimages/edge/{name}"));
    let arguments = ["estimate", &wrong, &right, "--width", "60cm", "--format", "json"];
    let run = inkfathom(arguments).ending_with(0);
    let document = run.document();
    assert_eq!(document.estimate(&wrong, 0)["channels"], document.estimate(&right, 0)["channels"]);
}
