//! Replays the bodies of the fuzz targets over every test picture and everything that fuzzing
//! ever found.

#![expect(clippy::unwrap_used, reason = "tests' own functions may panic as tests do")]

use std::fs;
use std::path::PathBuf;

use inkfathom_tests::{bodies, mutated, repository};

fn files(folder: &str) -> Vec<PathBuf> {
    let listed = fs::read_dir(repository().join(folder)).unwrap();
    let mut files: Vec<_> = listed.map(|entry| entry.unwrap().path()).collect();
    files.retain(|path| path.is_file());
    files.sort();
    assert!(!files.is_empty(), "{folder}");
    files
}

fn all(bytes: &[u8]) {
    bodies::any_picture(bytes);
    bodies::profile(bytes);
    bodies::ink_set(bytes);
    bodies::stored_census(bytes);
    bodies::price_list(bytes);
    bodies::job_list(bytes);
    bodies::job_table(bytes);
    bodies::chart(bytes);
    bodies::ledger_file(bytes);
    bodies::stored_separation(bytes);
}

#[test]
fn what_was_once_found_stays_mended() {
    for path in files("testimages/regression") {
        all(&fs::read(path).unwrap());
    }
}

#[test]
fn every_test_picture_passes_every_body() {
    for folder in ["testimages/bad", "testimages/formats"] {
        for path in files(folder) {
            all(&fs::read(path).unwrap());
        }
    }
}

/// Damaged ink sets and profiles; pictures are damaged in the tests of the command line.
#[test]
fn damaged_text_and_profiles_are_refused_without_a_panic() {
    for path in files("crates/inkset/sets") {
        let sound = fs::read(path).unwrap();
        (0..100).for_each(|number| bodies::ink_set(&mutated(&sound, number).0));
    }
    let picture = fs::read(repository().join("testimages/edge/crop-cmyk-profile.tif")).unwrap();
    let start = picture.windows(4).position(|four| four == b"acsp").unwrap() - 36;
    let sound = &picture[start..];
    (0..300).for_each(|number| bodies::profile(&mutated(sound, number).0));
}

/// Reads any bytes; a panic is a fault.
type Body = fn(&[u8]);

/// Damaged price lists, job lists, charts and tables, each with the body that reads it.
#[test]
fn damaged_lists_charts_and_tables_are_refused_without_a_panic() {
    let sound: [(&str, Body); 4] = [
        ("crates/pricing/example.toml", bodies::price_list),
        ("crates/pricing/example-jobs.toml", bodies::job_list),
        ("tests/reference/spot-ramp-spectral.txt", bodies::chart),
        ("tests/reference/format-means.csv", bodies::job_table),
    ];
    for (path, body) in sound {
        let sound = fs::read(repository().join(path)).unwrap();
        (0..100).for_each(|number| body(&mutated(&sound, number).0));
    }
}
