use std::fs;

use inkfathom_tests::repository;
use tempfile::tempdir;

use crate::pictures::{BRUSHES, SHORE, TULIPS};
use crate::program::{inkfathom, number};

const DEEP_SKY: &str = "testimages/photographs/deep-sky-dark.jpg";

/// Loads are sums of a few products: they may pass a limit by the last bits.
const ROUNDING: f64 = 1e-9;

/// Falling load limits of the first substrate in ml/m²; the built-in one is 22.
const LIMITS: [u32; 3] = [22, 16, 9];

#[test]
fn lowering_the_load_limit_never_raises_the_highest_load() {
    let folder = tempdir().unwrap();
    let text = fs::read_to_string(repository().join("crates/inkset/sets/five.toml")).unwrap();
    let sets: Vec<String> = LIMITS
        .iter()
        .map(|limit| {
            let path = folder.path().join(format!("limit-{limit}.toml"));
            let limit_line = format!("load_limit_ml_per_m2 = {limit}\n");
            let lowered = text
                .replacen("name = \"five\"", &format!("name = \"limit-{limit}\""), 1)
                .replacen("load_limit_ml_per_m2 = 22\n", &limit_line, 1);
            assert!(lowered.contains(&limit_line));
            fs::write(&path, lowered).unwrap();
            path.to_str().unwrap().to_owned()
        })
        .collect();
    let arguments = ["compare", SHORE, TULIPS, BRUSHES, DEEP_SKY, "--width", "60cm"];
    let sets = sets.iter().flat_map(|set| ["--ink-set", set]);
    let run = inkfathom(arguments.into_iter().chain(["--format", "json"]).chain(sets));
    let document = run.ending_with(0).document();
    for picture in [SHORE, TULIPS, BRUSHES, DEEP_SKY] {
        let mut before = f64::INFINITY;
        for (set, limit) in LIMITS.into_iter().enumerate() {
            let estimate = document.estimate(picture, set);
            assert_eq!(estimate["load_limit_ml_per_m2"], f64::from(limit));
            let highest = number(&estimate["highest_load_ml_per_m2"]);
            assert!(highest <= f64::from(limit) + ROUNDING, "{picture}: {highest} over {limit}");
            assert!(
                highest <= before + ROUNDING,
                "{picture}: {limit} raises the load to {highest}"
            );
            before = highest;
        }
    }
}
