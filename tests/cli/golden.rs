//! What the program prints today, against `tests/golden`, for a reviewer to read when it changes.
//!
//! It proves no number: those rest on `tests/reference`. One command writes the folder anew:
//!
//! ```sh
//! INKFATHOM_GOLDEN=write cargo test -p inkfathom --test command_line golden
//! ```

use std::fs;

use inkfathom_tests::repository;

use crate::program::inkfathom;

/// A small picture with many colours and one with transparency, and commands on them that are soon
/// done. A new case takes one line.
#[rustfmt::skip]
const CASES: &[(&str, &str)] = &[
    ("estimate-table.txt", "estimate testimages/edge/crop-8.png --ink-set five --width 40cm --copies 3"),
    ("estimate-table-light-inks.txt", "estimate testimages/edge/crop-8.png --ink-set nine --width 40cm"),
    ("estimate.json", "estimate testimages/edge/crop-8.png --ink-set five --width 40cm --format json"),
    ("estimate.csv", "estimate testimages/edge/crop-8.png --ink-set five --width 40cm --format csv"),
    ("compare-table.txt", "compare testimages/edge/crop-8.png --ink-set five --ink-set eleven --width 40cm"),
    ("compare.json", "compare testimages/edge/crop-8.png --ink-set five --ink-set eleven --width 40cm --format json"),
    ("compare.csv", "compare testimages/edge/crop-8.png --ink-set five --ink-set eleven --width 40cm --format csv"),
    ("quote-table.txt", "quote testimages/edge/crop-8.png --ink-set five --width 40cm --copies 3"),
    ("quote.json", "quote testimages/edge/crop-8.png --ink-set five --width 40cm --copies 3 --format json"),
    ("quote.csv", "quote testimages/edge/crop-8.png --ink-set five --width 40cm --copies 3 --format csv"),
    ("colours-table.txt", "colours separate --ink-set nine #b05a8c"),
    ("ink-set-show.txt", "ink-set show five"),
    ("chart-show.txt", "chart show tests/reference/tr006.txt"),
];

/// Machines round the last digits of powers and roots differently.
const ROUNDING: f64 = 1e-6;

#[test]
fn the_program_prints_what_the_golden_files_say() {
    let folder = repository().join("tests/golden");
    let rewrites = std::env::var("INKFATHOM_GOLDEN").is_ok_and(|wish| wish == "write");
    let mut differing = Vec::new();
    for (name, command) in CASES {
        let printed = inkfathom(command.split(' ')).ending_with(0).data;
        let path = folder.join(name);
        if rewrites {
            fs::create_dir_all(&folder).unwrap();
            fs::write(&path, &printed).unwrap();
        }
        let golden = fs::read_to_string(&path).unwrap_or_default();
        if let Some(difference) = first_difference(&golden, &printed) {
            differing.push(format!("{name} ({command})\n{difference}"));
        }
    }
    assert!(
        differing.is_empty(),
        "output has changed; if it was meant to, write tests/golden anew (see tests/cli/golden.rs) \
         and read the difference:\n{}",
        differing.join("\n")
    );
    let files = fs::read_dir(&folder).unwrap().count();
    assert_eq!(files, CASES.len(), "a file of tests/golden belongs to no case");
}

/// The first line that differs by more than the last digits of its numbers.
fn first_difference(golden: &str, printed: &str) -> Option<String> {
    let (mut old, mut new) = (golden.lines(), printed.lines());
    for number in 1.. {
        match (old.next(), new.next()) {
            (None, None) => return None,
            (Some(old), Some(new)) if is_like(old, new) => {}
            (old, new) => {
                let [old, new] = [old, new].map(|line| line.unwrap_or("(no such line)"));
                return Some(format!("line {number}\n  golden:  {old}\n  printed: {new}"));
            }
        }
    }
    None
}

/// Whether two lines say the same but for rounding.
fn is_like(one: &str, other: &str) -> bool {
    let (one, other) = (words(one), words(other));
    one.len() == other.len()
        && one.iter().zip(&other).all(|(one, other)| match (one.parse(), other.parse()) {
            (Ok(one), Ok(other)) => is_near(one, other),
            _ => one == other,
        })
}

fn is_near(one: f64, other: f64) -> bool {
    (one - other).abs() <= ROUNDING * one.abs().max(other.abs()).max(ROUNDING)
}

/// Numbers, and what stands between them.
fn words(line: &str) -> Vec<&str> {
    let is_of_number = |letter: char| letter.is_ascii_digit() || letter == '.';
    let mut words = Vec::new();
    let mut rest = line;
    while let Some(first) = rest.chars().next() {
        let kind = is_of_number(first);
        let end = rest.find(|letter| is_of_number(letter) != kind).unwrap_or(rest.len());
        let (word, further) = rest.split_at(end);
        words.push(word);
        rest = further;
    }
    words
}

#[test]
fn rounding_is_no_difference_and_everything_else_is() {
    assert!(is_like("cyan 0.123456789 ml", "cyan 0.123456788 ml"));
    assert!(!is_like("cyan 0.1234 ml", "cyan 0.1235 ml"));
    assert!(!is_like("cyan 0.1234 ml", "blue 0.1234 ml"));
    assert!(!is_like("0.1, 0.2", "0.1"));
    assert_eq!(first_difference("a\nb\n", "a\nb\n"), None);
    assert!(first_difference("a\nb\n", "a\n").unwrap().contains("no such line"));
}
