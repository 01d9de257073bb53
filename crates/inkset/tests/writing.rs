//! A set that is written and read again is the same set.

use inkfathom_inkset::{InkSet, builtin, builtin_names};

const EXAMPLE: &str = include_str!("../example.toml");

#[track_caller]
fn survives(text: &str) {
    let set = InkSet::parse(text, "original").expect("a sound original").set;
    let written = set.to_toml("Written by a test.");
    let again = InkSet::parse(&written, "written").unwrap_or_else(|error| panic!("{error}")).set;
    assert_eq!(again, set);
    assert_eq!(again.fingerprint(), set.fingerprint());
}

#[test]
fn every_built_in_set_survives() {
    for name in builtin_names() {
        survives(builtin(name).unwrap().text);
    }
}

#[test]
fn the_example_with_every_key_survives() {
    survives(EXAMPLE);
    survives(&EXAMPLE.replace("law = \"yule-nielsen\"", "law = \"kubelka-munk\""));
}

#[test]
fn awkward_numbers_and_names_survive() {
    survives(
        &EXAMPLE
            .replace("satin photo paper", "the \\\"old\\\" \\\\ paper")
            .replace(
                "crossover_percent]\n\"light cyan\" = 70",
                "crossover_percent]\n\"light cyan\" = 69.9999999",
            )
            .replace("limit_percent = 90", "limit_percent = 33.3")
            .replace("widest_sheet_cm = 112", "widest_sheet_cm = 111.7"),
    );
}

#[test]
fn unknown_curves_of_all_inks_and_lay_downs_without_drops_survive() {
    let rows = &EXAMPLE[EXAMPLE.find("[[print_mode.drop_mix]]").unwrap()
        ..EXAMPLE.find("# Optional: lay-down of an ink").unwrap()];
    let curves = &EXAMPLE[EXAMPLE.find("[print_mode.device_curve]").unwrap()
        ..EXAMPLE.find("# ---- separation").unwrap()];
    survives(
        &EXAMPLE
            .replace(rows, "")
            .replace(curves, "")
            .replace("drops_per_cell = 1\n", "device_curve = \"unknown\"\n")
            .replace("drop_volumes_pl = [1.5, 2.7, 4]", "")
            .replace(
                "\"light cyan\" = 9.4",
                "\"light cyan\" = 9.4\ncyan = 8\n\"photo black\" = 7.7",
            ),
    );
}

#[test]
fn a_tristimulus_set_keeps_its_three_bands() {
    let from = EXAMPLE.find("effective_percent_per_band").unwrap();
    let to = EXAMPLE.find("# Optional: measured patches").unwrap();
    let three = "effective_percent_per_band = [[0, 0, 0], [60, 58.25, 57], [100, 100, 100]]\n\n";
    let text = EXAMPLE
        .replace(&EXAMPLE[from..to], three)
        .replace("bands = \"spectral\"", "bands = \"tristimulus\"");
    survives(&text);
}
