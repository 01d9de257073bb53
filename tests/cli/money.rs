//! Price lists, quotes, routing and payback on the command line.

use std::fs;

use serde_json::Value;
use tempfile::tempdir;

use crate::pictures::{BLOSSOM, SHORE, TEXT_NAMED_LIKE_A_PICTURE};
use crate::program::{Run, inkfathom, list, number, text};

/// A picture that is soon estimated.
const SMALL: &str = "testimages/edge/crop-8.png";

fn quote(further: &[&str]) -> Run {
    inkfathom(["quote", SMALL, "--width", "40cm"].into_iter().chain(further.iter().copied()))
}

/// Amounts of a document in cents.
fn cents(value: &Value) -> i64 {
    let digits = text(value).replace('.', "");
    digits.parse().unwrap_or_else(|_| panic!("{value} is no amount of cents"))
}

#[test]
fn a_photograph_gets_a_price_whose_lines_add_up() {
    let run = inkfathom([
        "quote", SHORE, BLOSSOM, "--width", "60cm", "--copies", "3", "--format", "json",
    ]);
    let document = run.ending_with(0).document().0;
    assert_eq!((&document["version"], &document["kind"]), (&1.into(), &"quote".into()));
    let lines = list(&document["lines"]);
    let sum: i64 = lines
        .iter()
        .filter(|line| line["is_sum"] == false)
        .map(|line| cents(&line["amount"]))
        .sum();
    assert_eq!(sum, cents(&document["total"]["expected"]));
    let parts: i64 = list(&document["pictures"]).iter().map(|picture| cents(&picture["net"])).sum();
    assert_eq!(parts, cents(&document["net"]["expected"]));
    let roll = &document["roll"];
    assert!(number(&roll["billed_area_m2"]) > number(&roll["printed_area_m2"]));
    assert_eq!(document["disclaimer"], "An estimate is not a measurement.");
}

#[test]
fn a_quote_and_an_estimate_tell_the_same_ink() {
    let job = [SHORE, "--width", "60cm", "--copies", "3", "--format", "json"];
    let estimate = inkfathom(["estimate"].into_iter().chain(job)).ending_with(0).document();
    let quote = inkfathom(["quote"].into_iter().chain(job)).ending_with(0).document().0;
    for end in ["", "_low", "_high"] {
        let [estimated, quoted] = [
            &estimate.estimate(SHORE, 0)[&format!("total_ml{end}")],
            &quote["ink_ml".to_owned() + end],
        ];
        assert_eq!(number(estimated), number(quoted), "ink{end}");
    }
}

#[test]
fn the_table_says_lines_range_share_of_ink_and_disclaimer() {
    let run = quote(&["--copies", "3"]).ending_with(0);
    for words in [
        "price list demo",
        "of which 0.",
        "= net price",
        "by the range of the ink: net ",
        "all ink is ",
        "prices of `demo` are invented",
        "An estimate is not a measurement.",
    ] {
        assert!(run.data.contains(words), "{words} is not in\n{}", run.data);
    }
    assert!(!run.data.contains("margins and spoilage are not included"), "{}", run.data);
}

#[test]
fn csv_has_a_row_for_each_picture_line_and_failure() {
    let run = quote(&[TEXT_NAMED_LIKE_A_PICTURE, "--format", "csv"]).ending_with(3);
    let mut reader = csv::Reader::from_reader(run.data.as_bytes());
    let kinds: Vec<String> = reader.records().map(|row| row.unwrap()[0].to_owned()).collect();
    for (kind, at_least) in [("picture", 1), ("line", 5), ("sum", 3), ("failed", 1)] {
        let rows = kinds.iter().filter(|row| *row == kind).count();
        assert!(rows >= at_least, "{rows} rows of {kind}: {}", run.data);
    }
}

#[test]
fn a_page_for_the_customer_keeps_cost_and_margin_back() {
    let page = quote(&["--format", "html", "--sender", "Farrowsay <Prints>"]).ending_with(0).data;
    let customer = quote(&["--format", "html", "--for-customer"]).ending_with(0).data;
    for word in ["margin", "spoilage"] {
        assert!(page.contains(&format!(">{word}<")), "{word}");
        assert!(!customer.contains(&format!(">{word}<")), "{word}");
    }
    assert!(page.contains("Farrowsay &lt;Prints&gt;"));
    for page in [page, customer] {
        assert!(page.contains("An estimate is not a measurement."));
        assert!(page.contains("default-src 'none'"));
        assert!(!page.contains("http:") && !page.contains("https:"));
    }
}

#[test]
fn price_lists_are_listed_shown_checked_and_copied() {
    let folder = tempdir().unwrap();
    let copy = folder.path().join("own.toml");
    let copy = copy.to_str().unwrap();
    assert!(inkfathom(["price-list", "list"]).ending_with(0).data.starts_with("demo "));
    assert!(inkfathom(["price-list", "show", "demo"]).ending_with(0).data.contains("margin 40 %"));
    inkfathom(["price-list", "copy", "demo", copy]).ending_with(0);
    let again = inkfathom(["price-list", "copy", "demo", copy]).ending_with(6);
    assert!(again.messages.contains("exists already"), "{}", again.messages);
    let checked = inkfathom(["price-list", "check", "demo", copy]).ending_with(0);
    assert_eq!(checked.messages_with("ok: ").count(), 2, "{}", checked.messages);
    let changed = fs::read_to_string(copy).unwrap().replace("margin_percent", "margn_percent");
    fs::write(copy, changed).unwrap();
    let run = inkfathom(["price-list", "check", copy, "demo"]).ending_with(7);
    assert!(run.messages.contains("did you mean `margin_percent`?"), "{}", run.messages);
    assert_eq!(run.messages_with("ok: ").count(), 1, "{}", run.messages);
}

/// Further arguments, the exit code, and what the message says.
#[test]
fn what_cannot_be_priced_is_refused_with_a_remedy() {
    for (further, code, says) in [
        (&["--price-list", "deom"][..], 7, "did you mean `demo`?"),
        (&["--price-list", "no-such-list.toml"], 7, "choose another file"),
        (&["--price-list", "Cargo.toml"], 7, "is not a key of this place"),
        (&["--paper", "satin photo rol"], 8, "did you mean `satin photo roll`?"),
        (&["--roll", "60in"], 8, "comes on no roll of 152.4 cm; choose one of 61.0 cm, 91.4 cm"),
        (&["--height", "300cm", "--width", "300cm"], 8, "print it smaller, or on a wider roll"),
        (&["--copies", "0"], 2, "invalid value '0'"),
        (&["--copies", "4000000000"], 8, "split the order"),
        (&["--ink-set", "fiev"], 5, "did you mean `five`?"),
    ] {
        // An option that is given twice is refused.
        let width: &[&str] = if further.contains(&"--width") { &[] } else { &["--width", "40cm"] };
        let arguments = ["quote", SMALL].iter().chain(width).chain(further);
        let run = inkfathom(arguments.copied()).ending_with(code);
        assert!(run.messages.contains(says), "{further:?}: {}", run.messages);
        assert_eq!(run.data, "", "{further:?}");
    }
}

#[test]
fn no_good_file_gives_no_quote() {
    let run = inkfathom(["quote", TEXT_NAMED_LIKE_A_PICTURE, "--width", "40cm"]).ending_with(4);
    assert_eq!(run.data, "");
}

const JOBS: &str = r#"
[[job]]
name = "shore"
file = "shore.png"
width_cm = 60
copies_per_month = 40
orders_per_month = 2
[[job]]
name = "blossom"
file = "blossom-high-key.jpg"
width_cm = 50
copies_per_month = 60
"#;

/// Runs a command on a list of jobs beside the photographs.
fn on_jobs(command: &[&str], jobs: &str) -> Run {
    let folder = tempdir().unwrap();
    for name in ["shore.png", "blossom-high-key.jpg"] {
        let photographs = inkfathom_tests::repository().join("testimages/photographs");
        fs::copy(photographs.join(name), folder.path().join(name)).unwrap();
    }
    let path = folder.path().join("jobs.toml");
    fs::write(&path, jobs).unwrap();
    inkfathom(command.iter().copied().chain(["--jobs", path.to_str().unwrap()]))
}

const ROUTING: [&str; 5] = ["routing", "--ink-set", "five", "--ink-set", "eleven"];
const PAYBACK: [&str; 5] = ["payback", "--have", "eleven", "--buy", "five"];

fn with<'a>(command: &[&'a str], further: &[&'a str]) -> Vec<&'a str> {
    [command, further].concat()
}

#[test]
fn routing_sends_each_job_of_a_list_to_the_cheapest_set_that_holds_it() {
    let run = on_jobs(&with(&ROUTING, &["--format", "json"]), JOBS).ending_with(0);
    let document = run.document().0;
    assert_eq!(document["kind"], "routing");
    let jobs = list(&document["jobs"]);
    let mut routed = 0;
    for job in jobs {
        let on = list(&job["on"]);
        let holding: Vec<i64> =
            on.iter().filter(|on| on["holds"] == true).map(|on| cents(&on["cost"])).collect();
        let chosen = on.iter().find(|on| on["ink_set"] == job["sent_to"]).unwrap();
        assert!(job["held"] == false || Some(&cents(&chosen["cost"])) == holding.iter().min());
        routed += cents(&chosen["cost"]);
    }
    assert_eq!(routed, cents(&document["routed"]["cost"]));
    for (saving, all) in list(&document["savings"]).iter().zip(list(&document["all_on"])) {
        assert_eq!(cents(&saving["money"]), cents(&all["cost"]) - routed);
    }
}

#[test]
fn routing_takes_a_folder_and_goes_on_after_a_bad_file() {
    let folder = tempdir().unwrap();
    let root = inkfathom_tests::repository();
    fs::copy(root.join(SMALL), folder.path().join("small.png")).unwrap();
    fs::copy(root.join(TEXT_NAMED_LIKE_A_PICTURE), folder.path().join("bad.png")).unwrap();
    fs::write(folder.path().join("notes.txt"), "not a picture").unwrap();
    let folder = folder.path().to_str().unwrap();
    let run = inkfathom(with(&ROUTING, &[folder, "--width", "40cm", "--copies", "9"]));
    let run = run.ending_with(3);
    assert!(run.messages.contains("bad.png"), "{}", run.messages);
    assert!(run.data.contains("small.png") && !run.data.contains("notes.txt"), "{}", run.data);
}

#[test]
fn payback_says_when_what_it_rests_on_and_how_sure_it_is() {
    let json = on_jobs(&with(&PAYBACK, &["--format", "json"]), JOBS).ending_with(0).document().0;
    let saved = cents(&json["ink_saving"]["expected"]) - cents(&json["added_running_cost"]);
    assert_eq!(saved, cents(&json["saving"]["expected"]));
    let changes: Vec<&str> =
        list(&json["sensitivity"]).iter().map(|row| text(&row["change"])).collect();
    for change in ["none", "ink_price", "volume", "tolerance"] {
        assert!(changes.contains(&change), "{changes:?}");
    }
    let page = on_jobs(&with(&PAYBACK, &["--format", "html"]), JOBS).ending_with(0).data;
    for words in ["<polygon", "Balance of the purchase by month", text(&json["time"]["words"])] {
        assert!(page.contains(words), "{words}");
    }
    let table = on_jobs(&PAYBACK, JOBS).ending_with(0).data;
    for words in ["price earned in", "range", "if something else were so", "200 % of the copies"] {
        assert!(table.contains(words), "{words}");
    }
}

#[test]
fn a_few_prints_never_pay_for_a_machine_and_the_answer_is_a_word() {
    let run = inkfathom(with(&PAYBACK, &[SMALL, "--width", "40cm", "--format", "json"]));
    let document = run.ending_with(0).document().0;
    assert_eq!(
        (&document["time"]["status"], &document["time"]["months"]),
        (&"never".into(), &Value::Null)
    );
}

#[test]
fn routing_and_payback_without_jobs_or_sets_make_no_sense() {
    for (arguments, code, says) in [
        (ROUTING.to_vec(), 2, "there are no jobs"),
        (vec!["routing", SMALL, "--width", "9cm", "--ink-set", "five"], 2, "at least twice"),
        (vec!["payback", SMALL, "--width", "9cm", "--have", "five", "--buy", "five"], 2, "twice"),
        (
            with(&ROUTING, &[SMALL, "--width", "40m", "--copies", "4000000000"]),
            8,
            "check its copies",
        ),
        (with(&ROUTING, &["no-such-folder/none.png", "--width", "9cm"]), 4, "none.png"),
    ] {
        let run = inkfathom(arguments.iter().copied()).ending_with(code);
        assert!(run.messages.contains(says), "{arguments:?}: {}", run.messages);
    }
    let run = on_jobs(&ROUTING, &JOBS.replace("= 40", "= 0")).ending_with(7);
    assert!(run.messages.contains("outside 1 to 1000000 copies"), "{}", run.messages);
}
