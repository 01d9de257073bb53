//! Ink sets that can't be separated are refused with value, range and remedy.

use inkfathom_separation::SeparationInputs;
use inkset::{InkSet, builtin};

/// What is said of the built-in nine inks after a change of their text.
fn refusal(from: &str, to: &str) -> String {
    let text = builtin("nine").expect("nine inks").text;
    assert!(text.contains(from), "{from} is not in the text");
    let set = InkSet::parse(&text.replacen(from, to, 1), "test").expect("a readable set").set;
    let inputs = SeparationInputs::defaults(&set).expect("a substrate and a print mode");
    let said = inputs.check().expect_err("a refusal").to_string();
    assert_eq!(inputs.build().err().map(|fault| fault.to_string()), Some(said.clone()));
    said
}

#[test]
fn five_strengths_of_one_family_are_refused() {
    let grey = |name: &str, percent: u32| {
        format!(
            "[[ink]]\nname = \"{name}\"\nfamily = \"black\"\nstrength = \"light\"\n\
             density_percent = {percent}\nlimit_percent = 100\n\n"
        )
    };
    let more = format!("{}{}# ---- substrates", grey("third grey", 45), grey("fourth grey", 60));
    let said = refusal("# ---- substrates", &more);
    assert_eq!(said, "family `black` has 5 strengths, outside 1 to 4; leave some inks out");
}

#[test]
fn a_lighter_ink_that_hands_over_after_a_darker_one_is_refused() {
    let stated = "black_curve_exponent = 1\ncrossover_percent = { \"light grey\" = 100, grey = 5 }";
    let said = refusal("black_curve_exponent = 1", stated);
    assert!(said.contains("`light grey` at 100 % hands over"), "{said}");
    assert!(said.ends_with("lower it, or raise the next one's"), "{said}");
}
