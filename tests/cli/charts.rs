use std::fs;
use std::path::Path;

use inkfathom_tests::repository;
use serde_json::Value;
use tempfile::tempdir;

use crate::program::inkfathom;

const TR006: &str = "tests/reference/tr006.txt";
const RAMP: &str = "tests/reference/spot-ramp-spectral.txt";

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

#[test]
fn show_says_what_a_chart_holds() {
    let run = inkfathom(["chart", "show", TR006]).ending_with(0);
    for words in ["1617 patches", "form CTI3", "tristimulus values under D50", "backing white"] {
        assert!(run.data.contains(words), "{words} is not in {}", run.data);
    }
    let run = inkfathom(["chart", "show", RAMP, "--steps-of", "teal"]).ending_with(0);
    assert!(run.data.contains("teal         at 0, 5, 10, 15, 20"), "{}", run.data);
}

/// From chart to estimate: the way that a studio goes.
#[test]
fn a_chart_becomes_an_ink_set_that_estimates_use() {
    let folder = tempdir().unwrap();
    let set = folder.path().join("harbour.toml");
    let fit = ["chart", "fit", TR006, "--output", text(&set), "--substrate", "coated"];
    let run = inkfathom(fit).ending_with(0);
    for words in ["16 primaries: all patches", "left out", "worst patches", "no suspicious patches"]
    {
        assert!(run.data.contains(words), "{words} is not in {}", run.data);
    }
    inkfathom(["ink-set", "check", text(&set)]).ending_with(0);
    let written = fs::read_to_string(&set).unwrap();
    assert!(written.starts_with("# Fitted to tests/reference/tr006.txt"), "{}", &written[..200]);
    assert!(written.contains("device_curve = \"unknown\""));

    let picture = "testimages/edge/crop-8.png";
    let job = ["estimate", picture, "--width", "20cm", "--ink-set", text(&set), "--no-cache"];
    let run = inkfathom([&job[..], &["--format", "json"]].concat()).ending_with(0);
    let report: Value = serde_json::from_str(&run.data).unwrap();
    let estimate = &report["files"][0]["estimates"][0];
    assert_eq!(
        (&estimate["ink_set"], &estimate["substrate"]),
        (&"harbour".into(), &"coated".into())
    );
    assert!(estimate["total_ml"].as_f64().unwrap() > 0.0);
    let assumptions = estimate["assumptions"].to_string();
    for words in ["through the default curve", "inks and paper are measured"] {
        assert!(assumptions.contains(words), "{words} is not in {assumptions}");
    }

    // What exists is never written over.
    let run = inkfathom(fit).ending_with(6);
    assert_eq!(run.messages_with("exists already").count(), 1, "{}", run.messages);
}

#[test]
fn the_json_report_has_a_version_and_all_figures() {
    let folder = tempdir().unwrap();
    let set = folder.path().join("teal.toml");
    let fit =
        ["chart", "fit", RAMP, "--steps-of", "teal", "--output", text(&set), "--format", "json"];
    let run = inkfathom(fit).ending_with(0);
    let report: Value = serde_json::from_str(&run.data).unwrap();
    assert_eq!((&report["version"], &report["patches"]), (&1.into(), &15.into()));
    assert_eq!((&report["ink_set"], &report["bands"]), (&"teal".into(), &"spectral".into()));
    let model = &report["models"][0];
    assert_eq!(model["chosen"], Value::Bool(true));
    for of in ["fitted", "left_out"] {
        for figure in ["mean_delta_e_00", "p95_delta_e_00", "max_delta_e_00"] {
            assert!(model[of][figure].as_f64().unwrap() < 1.0, "{model}");
        }
    }
    assert_eq!(report["worst"].as_array().unwrap().len(), 10);
}

#[test]
fn bad_charts_and_bad_requests_are_named() {
    let folder = tempdir().unwrap();
    let set = folder.path().join("set.toml");
    let failing = |arguments: &[&str], exit: i32, words: &str| {
        let run = inkfathom(arguments.iter().copied()).ending_with(exit);
        assert_eq!(run.messages_with(words).count(), 1, "{words} is not in {}", run.messages);
        assert!(!set.exists());
    };
    let fit = |chart: &str, more: &[&str], exit: i32, words: &str| {
        failing(&[&["chart", "fit", chart, "--output", text(&set)], more].concat(), exit, words);
    };
    fit("README.md", &[], 4, "neither CGATS text");
    fit("nowhere.txt", &[], 4, "chart nowhere.txt");
    fit(RAMP, &[], 4, "the chart has no device values");
    fit(TR006, &["--inks", "a,b"], 4, "2 inks are named for 4 channels");
    fit(TR006, &["--inks", "a,b,c,c"], 4, "ink `c` is named twice");
    fit(TR006, &["--base", "twelve"], 5, "ink set `twelve`");
    failing(&["chart", "show", TR006, "--steps-of", "teal"], 4, "beside steps in its sample names");
    let cut = folder.path().join("cut.txt");
    let whole = fs::read_to_string(repository().join(TR006)).unwrap();
    fs::write(&cut, &whole[..whole.len() / 2]).unwrap();
    failing(&["chart", "show", text(&cut)], 4, "it was cut off");
}
