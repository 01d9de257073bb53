//! No text makes the reader panic, and every refusal says where and why.

use inkfathom_inkset::{InkSet, InkSetError, builtin};
use proptest::prelude::*;

const EXAMPLE: &str = include_str!("../example.toml");

/// What people and broken tools write in place of a value.
const ODD_VALUES: [&str; 14] = [
    "-1",
    "0",
    "1e308",
    "1e999",
    "nan",
    "-inf",
    "\"\"",
    "\"\\n\"",
    "[]",
    "{}",
    "true",
    "1979-05-27",
    "0x10",
    "[[ink]]",
];

/// Reads a text and checks that a refusal is one that a person can use.
fn read(text: &str) -> Result<(), TestCaseError> {
    let lines = text.lines().count().max(1);
    match InkSet::parse(text, "any.toml") {
        Ok(parsed) => {
            let summary = parsed.set.summary();
            prop_assert!(summary.is_ok(), "{summary:?}");
        }
        Err(InkSetError::Faulty { problems }) => {
            prop_assert!(!problems.is_empty());
            for problem in problems {
                prop_assert!((1..=lines + 1).contains(&problem.place.line), "{problem}");
                prop_assert!(problem.to_string().starts_with("any.toml, line "));
            }
        }
        Err(other) => prop_assert!(false, "{other}"),
    }
    Ok(())
}

/// The lines of a text with one of them changed by `change`; `None` drops it.
fn with_line(text: &str, chosen: usize, change: impl Fn(&str) -> Option<String>) -> String {
    let lines = text.lines().enumerate();
    let changed =
        lines.filter_map(
            |(number, line)| {
                if number == chosen { change(line) } else { Some(line.to_owned()) }
            },
        );
    changed.collect::<Vec<_>>().join("\n")
}

fn texts() -> impl Strategy<Value = &'static str> {
    let eleven = builtin("eleven").expect("eleven is built in").text;
    prop_oneof![Just(EXAMPLE), Just(eleven)]
}

proptest! {
    #[test]
    fn arbitrary_text_never_panics(text in ".{0,200}") {
        read(&text)?;
    }

    #[test]
    fn arbitrary_lines_of_toml_never_panic(
        lines in prop::collection::vec("(\\[{0,2}[a-z_.]{1,12}\\]{0,2}|[a-z_]{1,12} = [-0-9a-z.\"\\[\\]{}]{0,8})", 0..12)
    ) {
        read(&lines.join("\n"))?;
    }

    #[test]
    fn a_value_replaced_by_an_odd_one_never_panics(
        text in texts(), line in any::<prop::sample::Index>(), odd in prop::sample::select(&ODD_VALUES)
    ) {
        let chosen = line.index(text.lines().count());
        read(&with_line(text, chosen, |line| {
            let key = line.split(" = ").next().unwrap_or(line);
            Some(format!("{key} = {odd}"))
        }))?;
    }

    #[test]
    fn a_number_replaced_by_any_other_never_panics(
        text in texts(), line in any::<prop::sample::Index>(), number in any::<f64>()
    ) {
        let chosen = line.index(text.lines().count());
        read(&with_line(text, chosen, |line| {
            let (before, after) = line.split_at(line.find(|c: char| c.is_ascii_digit())?);
            let rest = after.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
            Some(format!("{before}{number:?}{rest}"))
        }))?;
    }

    #[test]
    fn a_dropped_or_doubled_line_never_panics(
        text in texts(), line in any::<prop::sample::Index>(), is_doubled in any::<bool>()
    ) {
        let chosen = line.index(text.lines().count());
        read(&with_line(text, chosen, |line| is_doubled.then(|| format!("{line}\n{line}"))))?;
    }

    #[test]
    fn a_text_cut_anywhere_never_panics(text in texts(), at in any::<prop::sample::Index>()) {
        let cut = at.index(text.len());
        let end = (0..=cut).rev().find(|&end| text.is_char_boundary(end)).unwrap_or(0);
        read(&text[..end])?;
    }
}

#[test]
fn deep_nesting_and_thousands_of_faults_are_refused_quickly() {
    let deep = format!("a = {}", "[".repeat(100_000));
    let many_numbers =
        EXAMPLE.replacen("[0, 25, 50, 100]", &format!("[{}]", "-1, ".repeat(100_000)), 1);
    let many_inks = "[[ink]]\nname = \"a\"\n".repeat(50_000);
    for text in [deep, many_numbers, many_inks] {
        let Err(InkSetError::Faulty { problems }) = InkSet::parse(&text, "any.toml") else {
            panic!("not refused as faulty");
        };
        assert!((1..=100).contains(&problems.len()));
    }
}
