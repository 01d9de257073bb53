use std::fs;
use std::path::Path;

use tempfile::tempdir;

use crate::program::{Run, inkfathom};

const SMALL: &str = "testimages/edge/crop-8.png";

fn estimate_into(path: &Path, further: &[&str]) -> Run {
    let arguments = ["estimate", SMALL, "--width", "60cm", "--format", "json", "--output"];
    let path = path.to_str().unwrap();
    inkfathom(arguments.into_iter().chain([path]).chain(further.iter().copied()))
}

fn names_in(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect()
}

#[test]
fn a_result_goes_whole_to_the_named_file_and_nowhere_else() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("estimate.json");
    fs::write(&path, "yesterday's".repeat(10_000)).unwrap();
    let run = estimate_into(&path, &[]).ending_with(0);
    assert_eq!((run.data.as_str(), run.messages.as_str()), ("", ""));
    assert_eq!(names_in(folder.path()), ["estimate.json"]);
    let printed = inkfathom(["estimate", SMALL, "--width", "60cm", "--format", "json"]).data;
    assert_eq!(fs::read_to_string(&path).unwrap(), printed);
}

#[test]
fn a_result_that_can_t_be_written_ends_with_6_and_leaves_nothing() {
    let folder = tempdir().unwrap();
    let taken = folder.path().join("taken");
    fs::create_dir(&taken).unwrap();
    let unwritable = [taken.clone(), folder.path().join("no-such-folder/estimate.json")];
    for path in unwritable {
        let run = estimate_into(&path, &[]).ending_with(6);
        assert_eq!(run.data, "");
        assert!(run.messages.contains(path.to_str().unwrap()), "{}", run.messages);
        assert!(run.messages.contains("choose a path that can be written"), "{}", run.messages);
    }
    assert_eq!(names_in(folder.path()), ["taken"]);
    assert!(names_in(&taken).is_empty());
}

#[test]
fn a_run_that_ends_early_leaves_the_file_of_before() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("estimate.json");
    fs::write(&path, "before").unwrap();
    estimate_into(&path, &["--ink-set", "six"]).ending_with(5);
    assert_eq!(fs::read_to_string(&path).unwrap(), "before");
    assert_eq!(names_in(folder.path()), ["estimate.json"]);
}

#[test]
#[cfg(unix)]
fn a_result_may_be_read_by_whom_other_new_files_may() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempdir().unwrap();
    let mode = |name: &str| fs::metadata(folder.path().join(name)).unwrap().permissions().mode();
    fs::write(folder.path().join("other"), "").unwrap();
    estimate_into(&folder.path().join("estimate.json"), &[]).ending_with(0);
    assert_eq!(mode("estimate.json"), mode("other"));
}
