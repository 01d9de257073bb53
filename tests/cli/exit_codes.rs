use crate::pictures::{SHORE, TEXT_NAMED_LIKE_A_PICTURE};
use crate::program::inkfathom;

/// A picture that is soon estimated.
const SMALL: &str = "testimages/edge/crop-8.png";

#[test]
fn help_prints_the_table_and_is_no_error() {
    let run = inkfathom(["--help"]).ending_with(0);
    for row in [
        "0  everything was answered",
        "2  the command line makes no sense",
        "3  some files could not be answered, the others were",
        "4  no file could be answered",
        "5  an ink set is missing or faulty",
        "6  the result could not be written",
        "7  a price list or a list of jobs is missing or faulty",
        "8  what was asked for can't be priced",
        "9  the ledger, a job or a calibration can't be used",
        "10  the service can't be configured or started",
    ] {
        assert!(run.data.contains(row), "{row} is not in\n{}", run.data);
    }
    assert_eq!(run.messages, "");
}

#[test]
fn the_version_is_no_error() {
    let run = inkfathom(["--version"]).ending_with(0);
    assert!(run.data.starts_with(concat!("inkfathom ", env!("CARGO_PKG_VERSION"))));
}

#[test]
fn answering_everything_ends_with_0() {
    inkfathom(["estimate", SMALL, "--width", "60cm"]).ending_with(0);
}

#[test]
fn a_command_line_without_sense_ends_with_2() {
    for arguments in [
        &[] as &[&str],
        &["estimate"],
        &["estimate", SMALL, "--copies", "0"],
        &["estimate", SMALL, "--copies", "-1"],
        &["estimate", SMALL, "--intent", "saturation"],
        &["estimate", SMALL, "--format", "yaml"],
        &["compare", SMALL, "--width", "60cm"],
        &["compare", SMALL, "--width", "60cm", "--ink-set", "five"],
        &["compare", SMALL, "--width", "60cm", "--ink-set", "five", "--ink-set", "five"],
    ] {
        let run = inkfathom(arguments.iter().copied()).ending_with(2);
        assert_eq!(run.data, "", "{arguments:?}");
        assert!(!run.messages.is_empty(), "{arguments:?}");
    }
}

#[test]
fn one_bad_file_among_good_ones_ends_with_3_and_the_others_are_answered() {
    let files = ["estimate", SMALL, TEXT_NAMED_LIKE_A_PICTURE, SHORE];
    let form = ["--width", "60cm", "--format", "json"];
    let run = inkfathom(files.into_iter().chain(form)).ending_with(3);
    let document = run.document();
    let statuses: Vec<_> = document.files().iter().map(|file| &file["status"]).collect();
    assert_eq!(statuses, ["estimated", "failed", "estimated"]);
}

#[test]
fn no_good_file_ends_with_4() {
    let files = [TEXT_NAMED_LIKE_A_PICTURE, "testimages/bad/empty.tif", "no-such-file.jpg"];
    let run = inkfathom(["estimate", "--width", "60cm"].into_iter().chain(files)).ending_with(4);
    for file in files {
        assert_eq!(run.messages_with(&format!("error: {file}: ")).count(), 1, "{}", run.messages);
    }
}

#[test]
fn a_missing_or_faulty_ink_set_ends_with_5() {
    for ink_set in ["six", "no-such-set.toml", "Cargo.toml", SHORE, "crates"] {
        let run = inkfathom(["estimate", SMALL, "--width", "60cm", "--ink-set", ink_set]);
        let run = run.ending_with(5);
        assert!(run.messages.contains(ink_set), "{}", run.messages);
    }
}
