use std::collections::BTreeSet;
use std::sync::LazyLock;

use crate::pictures::{BLOSSOM, SHORE, TEXT_NAMED_LIKE_A_PICTURE};
use crate::program::{Document, Run, inkfathom, list, number, text};

/// A sound picture and a text, in one form of the result.
fn estimate_as(form: &str) -> Run {
    let files = [SHORE, TEXT_NAMED_LIKE_A_PICTURE];
    inkfathom(["estimate", "--width", "60cm", "--format", form].into_iter().chain(files))
        .ending_with(3)
}

fn compare_as(form: &str) -> Run {
    let sets = ["--ink-set", "five", "--ink-set", "nine"];
    let arguments = ["compare", SHORE, BLOSSOM, "--width", "60cm", "--format", form];
    inkfathom(arguments.into_iter().chain(sets)).ending_with(0)
}

static ESTIMATE_AS_JSON: LazyLock<Run> = LazyLock::new(|| estimate_as("json"));
static COMPARISON_AS_JSON: LazyLock<Run> = LazyLock::new(|| compare_as("json"));

fn keys(value: &serde_json::Value) -> BTreeSet<&str> {
    value.as_object().unwrap().keys().map(String::as_str).collect()
}

/// The rows of a CSV form by column name.
fn records(csv: &str) -> Vec<Vec<(String, String)>> {
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let header = reader.headers().unwrap().clone();
    let named = |record: csv::StringRecord| {
        let fields = header.iter().zip(record.iter());
        fields.map(|(name, field)| (name.to_owned(), field.to_owned())).collect()
    };
    reader.records().map(|record| named(record.unwrap())).collect()
}

fn field<'a>(record: &'a [(String, String)], name: &str) -> &'a str {
    let found = record.iter().find(|(column, _)| column == name);
    &found.unwrap_or_else(|| panic!("no column {name}")).1
}

/// The total of the row that ends an estimate of a set.
fn csv_total(csv: &str, file: &str, ink_set: &str) -> f64 {
    let is_it = |record: &&Vec<(String, String)>| {
        field(record, "file") == file
            && field(record, "ink_set") == ink_set
            && field(record, "channel") == "total"
    };
    field(records(csv).iter().find(is_it).unwrap(), "ml").parse().unwrap()
}

#[test]
fn json_says_its_version_and_what_became_of_each_file() {
    let Document(document) = ESTIMATE_AS_JSON.document();
    assert_eq!(document["version"], 1);
    assert!(text(&document["program"]).starts_with("inkfathom "));
    assert_eq!(document["disclaimer"], "An estimate is not a measurement.");
    let files = list(&document["files"]);
    assert_eq!(files[0]["file"], SHORE);
    assert_eq!(files[0]["status"], "estimated");
    assert_eq!(files[1]["file"], TEXT_NAMED_LIKE_A_PICTURE);
    assert_eq!(files[1]["status"], "failed");
    assert!(text(&files[1]["error"]).contains("choose a picture"));
}

#[test]
fn json_names_carry_their_units() {
    let document = ESTIMATE_AS_JSON.document();
    let estimate = document.estimate(SHORE, 0);
    let expected = [
        "area_m2",
        "assumptions",
        "channels",
        "height_mm",
        "highest_load_ml_per_m2",
        "highest_total_area_coverage",
        "ids",
        "ink_set",
        "limited_share",
        "load_limit_ml_per_m2",
        "print_mode",
        "substrate",
        "total_ml",
        "total_ml_high",
        "total_ml_low",
        "width_mm",
    ];
    assert!(keys(estimate).is_superset(&BTreeSet::from(expected)), "{:?}", keys(estimate));
    let channel = &estimate["channels"][0];
    let expected = ["coverage", "idle", "ml", "ml_high", "ml_low", "name"];
    assert!(keys(channel).is_superset(&BTreeSet::from(expected)), "{:?}", keys(channel));
}

#[test]
fn json_identifies_the_models_and_lists_the_assumptions() {
    let document = ESTIMATE_AS_JSON.document();
    let estimate = document.estimate(SHORE, 0);
    for id in ["model", "separation", "calibration"] {
        assert!(!text(&estimate["ids"][id]).is_empty(), "{id}");
    }
    let sentences: Vec<&str> =
        list(&estimate["assumptions"]).iter().map(|each| text(&each["text"])).collect();
    for words in ["embedded profile", "rendering: relative", "invented", "not calibrated"] {
        assert!(
            sentences.iter().any(|sentence| sentence.contains(words)),
            "{words}: {sentences:?}"
        );
    }
}

#[test]
fn figures_of_an_estimate_agree_with_each_other() {
    let document = ESTIMATE_AS_JSON.document();
    let estimate = document.estimate(SHORE, 0);
    let channels = list(&estimate["channels"]);
    assert_eq!(channels.len(), 5);
    let sum: f64 = channels.iter().map(|channel| number(&channel["ml"])).sum();
    assert_same(sum, number(&estimate["total_ml"]));
    for channel in channels {
        let [low, ml, high] = ["ml_low", "ml", "ml_high"].map(|key| number(&channel[key]));
        assert!(low <= ml && ml <= high, "{channel}");
        assert!((0.0..=1.0).contains(&number(&channel["coverage"])), "{channel}");
        assert_eq!(channel["idle"] == true, channel["name"] == "matte black", "{channel}");
    }
    let area = number(&estimate["width_mm"]) * number(&estimate["height_mm"]) / 1e6;
    assert_same(area, number(&estimate["area_m2"]));
}

#[test]
fn a_comparison_holds_an_estimate_for_each_set_with_savings_and_totals() {
    let document = COMPARISON_AS_JSON.document();
    for picture in [SHORE, BLOSSOM] {
        let sets: Vec<&str> = list(&document.file(picture)["estimates"])
            .iter()
            .map(|estimate| text(&estimate["ink_set"]))
            .collect();
        assert_eq!(sets, ["five", "nine"]);
        let [five, nine] = [0, 1].map(|set| number(&document.estimate(picture, set)["total_ml"]));
        let saving = &document.file(picture)["savings"][0];
        assert_eq!((text(&saving["ink_set"]), text(&saving["against"])), ("five", "nine"));
        assert_same(number(&saving["percent"]), 100.0 * (1.0 - five / nine));
    }
    let total = |set| {
        [SHORE, BLOSSOM].iter().map(|name| number(&document.estimate(name, set)["total_ml"])).sum()
    };
    for (set, name) in ["five", "nine"].into_iter().enumerate() {
        assert_eq!(document.0["totals"][set]["ink_set"], name);
        assert_same(number(&document.0["totals"][set]["total_ml"]), total(set));
    }
}

#[test]
fn csv_has_a_row_for_each_channel_and_failed_file_and_the_figures_of_json() {
    let csv = estimate_as("csv").data;
    let rows = records(&csv);
    assert_eq!(rows.len(), 5 + 1 + 1);
    assert_eq!(csv_total(&csv, SHORE, "five"), total_in(&ESTIMATE_AS_JSON, 0));
    let failed = rows.last().unwrap();
    assert_eq!(field(failed, "status"), "failed");
    assert_eq!(field(failed, "file"), TEXT_NAMED_LIKE_A_PICTURE);
    assert!(field(failed, "error").contains("choose a picture"));
    let csv = compare_as("csv").data;
    assert_eq!(csv_total(&csv, SHORE, "five"), total_in(&COMPARISON_AS_JSON, 0));
    assert_eq!(csv_total(&csv, SHORE, "nine"), total_in(&COMPARISON_AS_JSON, 1));
}

#[test]
fn tables_print_the_figures_of_json_and_the_disclaimer() {
    let one_set = estimate_as("table").data;
    let two_sets = compare_as("table").data;
    for (table, run, sets) in
        [(&one_set, &ESTIMATE_AS_JSON, 1), (&two_sets, &COMPARISON_AS_JSON, 2)]
    {
        assert!(table.contains(SHORE));
        assert!(table.ends_with("An estimate is not a measurement.\n"));
        for set in 0..sets {
            let printed = format!(" {:.3} ", total_in(run, set));
            assert!(table.contains(&printed), "{printed} is not in\n{table}");
        }
    }
    assert!(two_sets.contains("all 2 pictures together"));
}

#[test]
fn data_go_to_standard_output_and_messages_to_standard_error_in_every_form() {
    for form in ["table", "csv"] {
        let run = estimate_as(form);
        assert!(!run.data.contains("error: "), "{form}: {}", run.data);
        assert_only_the_text_is_complained_of(&run);
    }
    assert_only_the_text_is_complained_of(&ESTIMATE_AS_JSON);
    assert_eq!(COMPARISON_AS_JSON.messages, "");
}

fn assert_only_the_text_is_complained_of(run: &Run) {
    let start = format!("error: {TEXT_NAMED_LIKE_A_PICTURE}: ");
    let lines: Vec<&str> = run.messages.lines().collect();
    assert!(lines.len() == 2 && lines[0].starts_with(&start), "{}", run.messages);
    assert_eq!(lines[1], "error: 1 of 2 files could not be answered");
}

fn total_in(run: &Run, ink_set: usize) -> f64 {
    number(&run.document().estimate(SHORE, ink_set)["total_ml"])
}

/// Sums in another order differ by the last bits.
fn assert_same(one: f64, other: f64) {
    assert!((one - other).abs() <= 1e-12 * one.abs().max(other.abs()), "{one} is not {other}");
}
