use crate::pictures::SHORE;
use crate::program::{Run, inkfathom};

fn estimate(further: [&str; 2]) -> Run {
    inkfathom(["estimate", SHORE, "--width", "60cm"].into_iter().chain(further))
}

#[test]
fn a_mistyped_name_is_answered_with_the_nearest() {
    for (further, nearest) in [
        (["--ink-set", "elven"], "did you mean `eleven`?"),
        (["--substrate", "satin foto paper"], "did you mean `satin photo paper`?"),
        (["--print-mode", "standart"], "did you mean `standard`?"),
    ] {
        let run = estimate(further).ending_with(5);
        assert!(run.messages.contains(nearest), "{further:?}: {}", run.messages);
        assert!(run.messages.contains(further[1]), "{further:?}: {}", run.messages);
        assert_eq!(run.data, "");
    }
}

#[test]
fn a_name_like_no_other_is_answered_with_all() {
    for (further, known) in [
        (["--ink-set", "xyzzy"], "five, nine, eleven"),
        (["--substrate", "xyzzy"], "`satin photo paper`, `matte art paper`, `canvas`"),
        (["--print-mode", "xyzzy"], "`standard`, `fine`, `draft`"),
    ] {
        let run = estimate(further).ending_with(5);
        assert!(run.messages.contains(known), "{further:?}: {}", run.messages);
    }
}

#[test]
fn a_named_substrate_and_print_mode_are_used() {
    let named = ["--substrate", "matte art paper", "--print-mode", "fine", "--format", "json"];
    let arguments = ["estimate", SHORE, "--width", "60cm"];
    let run = inkfathom(arguments.into_iter().chain(named)).ending_with(0);
    let document = run.document();
    let estimate = document.estimate(SHORE, 0);
    assert_eq!(estimate["substrate"], "matte art paper");
    assert_eq!(estimate["print_mode"], "fine");
    let idle = estimate["channels"].as_array().unwrap().iter().find(|ink| ink["idle"] == true);
    assert_eq!(idle.unwrap()["name"], "photo black");
}
