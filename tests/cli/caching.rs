use std::fs;
use std::path::{Path, PathBuf};

use tempfile::tempdir;

use crate::program::{Run, inkfathom_caching_in};

const SMALL: &str = "testimages/edge/crop-8.png";

fn estimate(cache: &Path, further: &[&str]) -> Run {
    let arguments = ["estimate", SMALL, "--width", "60cm", "--format", "json"];
    let run = inkfathom_caching_in(cache, arguments.into_iter().chain(further.iter().copied()));
    assert_eq!(run.messages, "");
    run.ending_with(0)
}

/// The files under a folder.
fn files_in(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let paths = entries.map(|entry| entry.unwrap().path());
    paths.flat_map(|path| if path.is_dir() { files_in(&path) } else { vec![path] }).collect()
}

#[test]
fn nothing_depends_on_the_cache_but_time() {
    let folder = tempdir().unwrap();
    let without = estimate(folder.path(), &["--no-cache"]).data;
    assert!(files_in(folder.path()).is_empty());
    let filling = estimate(folder.path(), &[]).data;
    let kept = files_in(folder.path());
    assert_eq!(kept.len(), 1);
    let reading = estimate(folder.path(), &[]).data;
    let whole = fs::read(&kept[0]).unwrap();
    fs::write(&kept[0], &whole[..whole.len() / 2]).unwrap();
    let cut = estimate(folder.path(), &[]).data;
    fs::write(&kept[0], vec![0x7f; whole.len()]).unwrap();
    let overwritten = estimate(folder.path(), &[]).data;
    for data in [filling, reading, cut, overwritten] {
        assert_eq!(data, without);
    }
}

#[test]
fn a_cache_without_a_place_costs_only_time() {
    let folder = tempdir().unwrap();
    let a_file = folder.path().join("a-file");
    fs::write(&a_file, "no folder").unwrap();
    estimate(&a_file, &[]);
    assert_eq!(fs::read_to_string(&a_file).unwrap(), "no folder");
}
