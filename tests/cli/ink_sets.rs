use std::fs;
use std::path::Path;

use inkfathom_tests::repository;
use tempfile::tempdir;

use crate::program::inkfathom;

const SMALL: &str = "testimages/edge/crop-8.png";

fn copy(name: &str, path: &Path) -> crate::program::Run {
    inkfathom(["ink-set", "copy", name, path.to_str().unwrap()])
}

#[test]
fn list_names_every_built_in_set() {
    let run = inkfathom(["ink-set", "list"]).ending_with(0);
    let names: Vec<&str> =
        run.data.lines().filter_map(|line| line.split_whitespace().next()).collect();
    assert_eq!(names, ["five", "nine", "eleven"]);
    assert_eq!(run.messages, "");
}

#[test]
fn show_describes_inks_substrates_and_print_modes() {
    for (name, inks) in [("five", 5), ("nine", 9), ("eleven", 11)] {
        let run = inkfathom(["ink-set", "show", name]).ending_with(0);
        let of_inks = run.data.lines().skip_while(|line| !line.starts_with("inks")).skip(1);
        assert_eq!(of_inks.take_while(|line| !line.is_empty()).count(), inks, "{}", run.data);
        for words in
            ["invented", "satin photo paper", "matte art paper", "canvas", "standard", "fine"]
        {
            assert!(run.data.contains(words), "{name} lacks {words}:\n{}", run.data);
        }
    }
}

#[test]
fn check_names_each_problem_with_its_line_and_goes_on() {
    let folder = tempdir().unwrap();
    let text = fs::read_to_string(repository().join("crates/inkset/sets/five.toml")).unwrap();
    let faulty = text.replacen("limit_percent = 100", "limit_percent = 1000", 1).replacen(
        "load_limit_ml_per_m2 = 22",
        "load_limit_ml_per_sqm = 22",
        1,
    );
    let line_of =
        |words: &str| faulty.lines().position(|line| line.starts_with(words)).unwrap() + 1;
    let path = folder.path().join("faulty.toml");
    fs::write(&path, &faulty).unwrap();
    let path = path.to_str().unwrap();
    let run = inkfathom(["ink-set", "check", path, "eleven"]).ending_with(5);
    for words in ["limit_percent = 1000", "load_limit_ml_per_sqm"] {
        let place = format!("{path}, line {}: ", line_of(words));
        assert_eq!(run.messages_with(&place).count(), 1, "{place} in\n{}", run.messages);
    }
    assert_eq!(run.messages_with("ok: eleven").count(), 1, "{}", run.messages);
}

#[test]
fn built_in_sets_pass_their_check() {
    let run = inkfathom(["ink-set", "check", "five", "nine", "eleven"]).ending_with(0);
    assert_eq!(run.messages_with("ok: ").count(), 3, "{}", run.messages);
}

#[test]
fn a_copied_set_gives_the_figures_of_the_built_in_one() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("mine.toml");
    let run = copy("five", &path).ending_with(0);
    assert_eq!((run.data.as_str(), run.messages.as_str()), ("", ""));
    let renamed = fs::read_to_string(&path).unwrap().replacen("\"five\"", "\"mine\"", 1);
    fs::write(&path, renamed).unwrap();
    let path = path.to_str().unwrap();
    let sets = ["--ink-set", "five", "--ink-set", path, "--format", "json"];
    let run = inkfathom(["compare", SMALL, "--width", "60cm"].into_iter().chain(sets));
    let document = run.ending_with(0).document();
    let [five, mine] = [0, 1].map(|set| document.estimate(SMALL, set));
    assert_eq!(mine["ink_set"], "mine");
    assert_eq!(five["channels"], mine["channels"]);
}

#[test]
fn copy_never_overwrites() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("mine.toml");
    fs::write(&path, "work of a whole day").unwrap();
    let run = copy("five", &path).ending_with(6);
    assert!(run.messages.contains("exists already"), "{}", run.messages);
    assert_eq!(fs::read_to_string(&path).unwrap(), "work of a whole day");
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[test]
fn copying_an_unknown_set_names_the_nearest() {
    let folder = tempdir().unwrap();
    let run = copy("nin", &folder.path().join("mine.toml")).ending_with(5);
    assert!(run.messages.contains("did you mean `nine`?"), "{}", run.messages);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
}
