use std::fs;
use std::path::{Path, PathBuf};

use inkfathom_tests::{reference, repository};
use tempfile::{TempDir, tempdir};

use crate::program::{Run, inkfathom};

const SMALL: &str = "testimages/edge/crop-8.png";

/// A folder with a set that separates by the profile `press.icc` beside it.
struct PressSet {
    folder: TempDir,
}

impl PressSet {
    /// `five` without its own separation; device curves are unknown.
    fn new(profile: &[u8]) -> Self {
        let folder = tempdir().unwrap();
        let text = fs::read_to_string(repository().join("crates/inkset/sets/five.toml")).unwrap();
        let (head, rest) = text.split_once("[separation]").unwrap();
        let (_, machine) = rest.split_once("# ---- machine").unwrap();
        let mode = "[[print_mode]]\n";
        let text =
            format!("{head}[separation]\noutput_profile = \"press.icc\"\n\n# ---- {machine}")
                .replace(mode, &format!("{mode}device_curve = \"unknown\"\n"))
                .replace("name = \"five\"", "name = \"press\"");
        fs::write(folder.path().join("press.toml"), text).unwrap();
        fs::write(folder.path().join("press.icc"), profile).unwrap();
        Self { folder }
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("press.toml")
    }

    fn estimate(&self) -> Run {
        let set = self.path();
        let form = ["--width", "60cm", "--format", "json", "--ink-set", set.to_str().unwrap()];
        inkfathom(["estimate", SMALL].into_iter().chain(form))
    }

    fn check(&self) -> Run {
        inkfathom(["ink-set", "check", self.path().to_str().unwrap()])
    }
}

fn published() -> Vec<u8> {
    fs::read(reference("tr006-low.icc")).unwrap()
}

fn write_profile(ink_set: &str, path: &Path) -> Run {
    inkfathom(["profile", "write", "--ink-set", ink_set, "--output", path.to_str().unwrap()])
}

#[test]
fn a_profile_is_found_beside_the_set_that_names_it() {
    let press = PressSet::new(&published());
    press.check().ending_with(0);
    let run = press.estimate().ending_with(0);
    assert_eq!(run.messages_with("taken as coverage through the default curve").count(), 1);
    let document = run.document();
    let estimate = document.estimate(SMALL, 0);
    assert!(estimate["total_ml"].as_f64().unwrap() > 0.0);
    assert_eq!(estimate["ids"]["model"], "output-profile-1");
}

#[test]
fn a_missing_cut_or_unfit_profile_ends_with_5_and_says_why() {
    let cut = published()[..4000].to_vec();
    let display = fs::read(repository().join("testimages/edge/crop-wide-profile.png")).unwrap();
    let mut of_display = published();
    of_display[12..16].copy_from_slice(b"mntr");
    let mut of_too_many = published();
    of_too_many[16..20].copy_from_slice(b"FCLR");
    let mut of_seven = published();
    of_seven[16..20].copy_from_slice(b"7CLR");
    for (profile, words) in [
        (cut, "damaged ICC profile: 4000 of"),
        (display, "damaged ICC profile: "),
        (of_display, "an ICC profile of class `mntr` can't separate"),
        (of_too_many, "an output profile for `FCLR` colours can't separate"),
        (of_seven, "can't be used for relative colorimetric rendering"),
    ] {
        let press = PressSet::new(&profile);
        for run in [press.check(), press.estimate()] {
            let run = run.ending_with(5);
            assert!(run.messages.contains(words), "{words} is not in {}", run.messages);
        }
    }
    let press = PressSet::new(&[]);
    let profile = press.folder.path().join("press.icc");
    fs::remove_file(&profile).unwrap();
    let run = press.estimate().ending_with(5);
    assert!(run.messages.contains(profile.to_str().unwrap()), "{}", run.messages);
    assert!(run.messages.contains("correct output_profile"), "{}", run.messages);
}

#[test]
fn a_policy_for_a_set_with_a_profile_is_told_to_have_no_effect() {
    let press = PressSet::new(&published());
    let set = press.path();
    let form = ["--width", "60cm", "--least-ink", "1", "--ink-set", set.to_str().unwrap()];
    let run = inkfathom(["estimate", SMALL].into_iter().chain(form)).ending_with(0);
    assert_eq!(run.messages_with("has no effect").count(), 1, "{}", run.messages);
}

#[test]
fn a_written_profile_separates_like_the_set_that_it_was_written_from() {
    let folder = tempdir().unwrap();
    let profile = folder.path().join("five.icc");
    let run = write_profile("five", &profile).ending_with(0);
    assert_eq!(run.data, "");
    let press = PressSet::new(&fs::read(&profile).unwrap());
    // The profile's device values are coverages, because the built-in set knows no curves.
    let straight = "device_curve = \"unknown\"";
    let text = fs::read_to_string(press.path()).unwrap();
    let inks = ["cyan", "magenta", "yellow", "photo black", "matte black"];
    let known: String = inks
        .iter()
        .map(|ink| {
            let points = "device_percent = [0, 100], coverage_percent = [0, 100]";
            format!("device_curve.\"{ink}\" = {{ {points} }}\n")
        })
        .collect();
    fs::write(press.path(), text.replace(straight, known.trim_end())).unwrap();
    let by_profile = press.estimate().ending_with(0).document();
    let built = inkfathom(["estimate", SMALL, "--width", "60cm", "--format", "json"]).document();
    let channels = |document: &crate::program::Document| -> Vec<f64> {
        let channels = document.estimate(SMALL, 0)["channels"].as_array().unwrap().clone();
        channels.iter().map(|channel| channel["coverage"].as_f64().unwrap()).collect()
    };
    let (one, other) = (channels(&by_profile), channels(&built));
    assert_eq!(one.len(), other.len());
    for (one, other) in one.iter().zip(&other) {
        // What a profile's tables may be off from the separation.
        assert!((one - other).abs() < 0.01, "{one} {other}");
    }
}

#[test]
fn a_set_with_a_profile_has_no_separation_to_write() {
    let press = PressSet::new(&published());
    let path = press.folder.path().join("again.icc");
    let run = write_profile(press.path().to_str().unwrap(), &path).ending_with(5);
    assert!(run.messages.contains("separates by an output profile already"), "{}", run.messages);
    assert!(!path.exists());
}

#[test]
fn a_profile_that_cannot_be_written_ends_with_6() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("no-such-folder/five.icc");
    let run = write_profile("five", &path).ending_with(6);
    assert!(run.messages.contains("choose a path that can be written"), "{}", run.messages);
}
