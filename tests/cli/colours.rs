use std::fs;

use serde_json::Value;
use tempfile::TempDir;

use crate::program::{inkfathom, list, number};

/// Colours well inside every built-in set's gamut come back as near as the lattice allows (ΔE00).
const LATTICE: f64 = 1.0;
/// JSON and CSV carry the same doubles.
const WRITTEN: f64 = 1e-12;

fn json(arguments: &[&str]) -> Value {
    let form = ["--format", "json"];
    let run = inkfathom(arguments.iter().copied().chain(form)).ending_with(0);
    serde_json::from_str(&run.data).unwrap()
}

#[test]
fn colours_come_back_and_white_takes_nothing() {
    let arguments = ["colours", "separate", "60,20,15", "#ffffff", "--ink-set", "five"];
    let document = json(&arguments);
    let colours = list(&document["colours"]);
    assert!(number(&colours[0]["delta_e_00"]) < LATTICE);
    assert!(number(&colours[0]["load_ml_per_m2"]) > 1.0);
    assert_eq!(number(&colours[1]["load_ml_per_m2"]), 0.0);
}

#[test]
fn predicting_what_was_separated_gives_the_colour_again() {
    let separated = json(&["colours", "separate", "45,-20,-30", "--ink-set", "nine"]);
    let colour = &list(&separated["colours"])[0];
    let inks: Vec<String> = list(&colour["channels"])
        .iter()
        .map(|ink| {
            let name = ink["name"].as_str().unwrap();
            format!("{name}={}", 100.0 * number(&ink["coverage"]))
        })
        .collect();
    let predicted = json(&["colours", "predict", &inks.join(","), "--ink-set", "nine"]);
    let mixture = &list(&predicted["mixtures"])[0];
    for axis in ["l", "a", "b"] {
        let (there, back) = (number(&colour["printed"][axis]), number(&mixture["relative"][axis]));
        assert!((there - back).abs() < 1e-9, "{axis}: {there} and {back}");
    }
    assert_eq!(mixture["within_limits"], true);
    assert_eq!(list(&mixture["spectrum"]["reflectance"]).len(), 36);
}

#[test]
fn a_list_gives_names_and_each_set_a_row_of_csv_for_each_ink() {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("colours.csv");
    fs::write(&path, "a,name,b,L\n-20, sea ,-30,45\n5,rose,2,60\n").unwrap();
    let list_option = ["--list", path.to_str().unwrap()];
    let sets = ["--ink-set", "five", "--ink-set", "nine", "--format", "csv"];
    let arguments = ["colours", "separate"].into_iter().chain(list_option).chain(sets);
    let run = inkfathom(arguments).ending_with(0);
    let mut reader = csv::Reader::from_reader(run.data.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 2 * (5 + 9));
    assert_eq!((&rows[0][0], &rows[0][1], &rows[0][12]), ("sea", "five", "cyan"));
    let asked: f64 = rows[0][2].parse().unwrap();
    assert!((asked - 45.0).abs() < WRITTEN);
}

#[test]
fn what_is_no_colour_or_mixture_is_refused_with_its_place() {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("colours.csv");
    let listed = |text: &str| {
        fs::write(&path, text).unwrap();
        let arguments =
            ["colours", "separate", "--list", path.to_str().unwrap(), "--ink-set", "five"];
        inkfathom(arguments).ending_with(2).messages
    };
    for (text, said) in [
        ("L,a,b\n50,0,0\n50,x,0\n", "line 3: `50,x,0` is no colour"),
        ("L,a,b\n150,0,0\n", "line 2: `150,0,0` is outside L* 0 to 100"),
        ("red,green\n1,2\n", "line 1: the header has neither L, a and b nor srgb"),
        ("L,a,b\n", "line 1: no colour follows the header"),
        ("L,a,b\n1,2\n", "line 2"),
    ] {
        let messages = listed(text);
        assert!(messages.contains(said) && messages.contains("colours.csv"), "{messages}");
    }
    for (mixture, said) in [
        ("cian=5", "did you mean `cyan`?"),
        ("cyan=500", "coverage of `cyan` is 500 %, outside 0 to 100 %"),
    ] {
        let run = inkfathom(["colours", "predict", mixture]).ending_with(2);
        assert!(run.messages.contains(said), "{}", run.messages);
    }
}
