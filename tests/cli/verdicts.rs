use std::sync::LazyLock;

use crate::pictures::{BLOSSOM, BRUSHES, SHORE, WHITE_PAGE};
use crate::program::{Document, inkfathom, list, number, text};

const SETS: [&str; 4] = ["--ink-set", "five", "--ink-set", "eleven"];
/// Reds and oranges that want an orange ink.
const RED_BOWL: &str = "testimages/photographs/fig-red-bowl.jpg";
const BLACK_PAGE: &str = "testimages/edge/black-page.png";

fn compare(further: &[&str]) -> Document {
    let arguments = ["compare", "--width", "60cm", "--format", "json"].into_iter().chain(SETS);
    inkfathom(arguments.chain(further.iter().copied())).ending_with(0).document()
}

static COMPARISON: LazyLock<Document> =
    LazyLock::new(|| compare(&[WHITE_PAGE, BLACK_PAGE, BLOSSOM, BRUSHES, RED_BOWL]));

/// Colour management takes white to within this of CIELAB white, in ΔE00.
const TRANSFORM_ROUNDS: f64 = 1e-4;

fn mean(verdict: &serde_json::Value, of: &str) -> f64 {
    number(&verdict[of]["mean"])
}

#[test]
fn a_white_page_is_held_exactly() {
    for set in 0..2 {
        let verdict = &COMPARISON.estimate(WHITE_PAGE, set)["verdict"];
        assert_eq!(verdict["holding"], "holds");
        for figures in ["against_intended", "after_black_point_compensation"] {
            for figure in ["mean", "p95", "max"] {
                let off = number(&verdict[figures][figure]);
                assert!(off < TRANSFORM_ROUNDS, "{figures} {figure}: {verdict}");
            }
        }
        assert!(list(&verdict["lost"]).is_empty());
    }
}

#[test]
fn a_weak_black_counts_against_the_picture_and_not_after_compensation() {
    for set in 0..2 {
        let verdict = &COMPARISON.estimate(BLACK_PAGE, set)["verdict"];
        assert_eq!(verdict["out_of_gamut_share"], 1.0);
        assert_eq!(verdict["lost"][0]["region"], "shadows");
        assert!(mean(verdict, "against_intended") > 2.0, "{verdict}");
        assert!(mean(verdict, "after_black_point_compensation") < 0.5, "{verdict}");
    }
}

#[test]
fn without_compensation_there_is_no_figure_after_it() {
    let document = compare(&[BLOSSOM, "--no-black-point-compensation"]);
    let verdict = &document.estimate(BLOSSOM, 0)["verdict"];
    assert!(verdict.get("after_black_point_compensation").is_none());
    // What is clipped is then what is printed: the gamut is that of the compensated run.
    let compensated = &COMPARISON.estimate(BLOSSOM, 0)["verdict"];
    assert_eq!(verdict["out_of_gamut_share"], compensated["out_of_gamut_share"]);
}

#[test]
fn sentences_carry_their_numbers_and_name_the_sets() {
    for (picture, kind, words) in
        [(BLOSSOM, "enough", "five is enough"), (RED_BOWL, "needs_larger", "the larger set eleven")]
    {
        let choice = &COMPARISON.file(picture)["choice"];
        assert_eq!(choice["kind"], kind, "{choice}");
        assert!(text(&choice["sentence"]).contains(words), "{choice}");
        for set in 0..2 {
            let estimate = COMPARISON.estimate(picture, set);
            let share = 100.0 * number(&estimate["verdict"]["out_of_gamut_share"]);
            let printed =
                if share < 10.0 { format!("{share:.1} %") } else { format!("{share:.0} %") };
            let sentence = text(&estimate["verdict"]["sentence"]);
            assert!(sentence.contains(&printed), "{printed}: {sentence}");
            assert!(sentence.contains(text(&estimate["ink_set"])), "{sentence}");
            assert!(text(&choice["sentence"]).contains(&printed), "{choice}");
        }
    }
}

#[test]
fn lost_regions_and_places_add_up() {
    for set in 0..2 {
        let verdict = &COMPARISON.estimate(BRUSHES, set)["verdict"];
        let regions: f64 = list(&verdict["lost"]).iter().map(|lost| number(&lost["share"])).sum();
        assert!((regions - number(&verdict["out_of_gamut_share"])).abs() < 1e-9, "{verdict}");
        let ninths: f64 = list(&verdict["places"]["ninths"]).iter().map(number).sum();
        assert!((ninths - 1.0).abs() < 1e-9, "{verdict}");
        let loads = list(&COMPARISON.estimate(BRUSHES, set)["load_histogram"]["shares"]);
        assert!((loads.iter().map(number).sum::<f64>() - 1.0).abs() < 1e-9);
    }
    let between = &COMPARISON.estimate(BRUSHES, 1)["against_sets"][0];
    assert_eq!(between["ink_set"], "five");
    assert!(number(&between["mean"]) > 0.0 && number(&between["mean"]) < number(&between["max"]));
}

#[test]
fn thresholds_move_the_verdict_and_are_printed() {
    let strict = compare(&[BLOSSOM, "--holds-up-to", "0", "--holds-all-but-up-to", "0"]);
    let verdict = &strict.estimate(BLOSSOM, 0)["verdict"];
    assert_ne!(verdict["holding"], "holds");
    assert_eq!(verdict["thresholds"]["holds_up_to"], 0.0);
    let lenient = compare(&[
        BRUSHES,
        "--lost-above",
        "10",
        "--holds-up-to",
        "20%",
        "--holds-all-but-up-to",
        "30%",
    ]);
    let verdict = &lenient.estimate(BRUSHES, 0)["verdict"];
    assert_eq!(verdict["thresholds"]["lost_above"], 10.0);
    assert_eq!(verdict["holding"], "holds", "{verdict}");
    let table = inkfathom(["compare", SHORE, "--width", "60cm"].into_iter().chain(SETS)).data;
    assert!(table.contains("a colour is lost above 1;"), "{table}");
}

#[test]
fn thresholds_without_sense_are_refused_with_their_range() {
    for (options, words) in [
        (["--lost-above", "11"], "outside 0 to 10"),
        (["--holds-up-to", "30"], "30 % is above 10 %"),
        (["--holds-up-to", "101"], "101 % is outside 0 to 100 %"),
        (["--holds-all-but-up-to", "many"], "`many` is not a number"),
    ] {
        let arguments = ["compare", SHORE, "--width", "60cm"].into_iter().chain(SETS);
        let run = inkfathom(arguments.chain(options)).ending_with(2);
        assert!(run.messages.contains(words), "{}", run.messages);
    }
}

#[test]
fn a_table_shows_both_references_labelled() {
    let table = inkfathom(["compare", BLOSSOM, "--width", "60cm"].into_iter().chain(SETS)).data;
    for words in ["out of gamut", "ΔE00 mean", "… compensated", "D50 to A", "five is enough"] {
        assert!(table.contains(words), "{words} is not in\n{table}");
    }
}
