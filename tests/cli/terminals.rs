use std::process::{Command, Stdio};

use inkfathom_tests::repository;

use crate::program::CACHE;

const SMALL: &str = "testimages/edge/crop-8.png";

/// Starts every code by which a terminal is told to colour.
const ESCAPE: char = '\u{1b}';

fn program(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_inkfathom"));
    command.args(arguments).current_dir(repository()).env("XDG_CACHE_HOME", &*CACHE);
    command
}

/// What a command prints, messages included, where a user insists on colours and, if `refused`,
/// on none as well.
fn printed(arguments: &[&str], refused: bool) -> String {
    let mut command = program(arguments);
    command.env_remove("NO_COLOR").env("CLICOLOR_FORCE", "1");
    if refused {
        command.env("NO_COLOR", "1");
    }
    let output = command.output().unwrap();
    String::from_utf8([output.stdout, output.stderr].concat()).unwrap()
}

#[test]
fn no_color_wins_over_every_wish_for_colours() {
    let senseless = ["estimate", "--copies", "none"];
    assert!(printed(&senseless, false).contains(ESCAPE), "nothing here is ever coloured");
    for arguments in [&senseless[..], &["--help"], &["estimate", SMALL, "--width", "60cm"]] {
        let text = printed(arguments, true);
        assert!(!text.is_empty() && !text.contains(ESCAPE), "{text}");
    }
}

#[test]
fn data_hold_no_colours_whatever_the_terminal_wants() {
    let text = printed(&["estimate", SMALL, "--width", "60cm"], false);
    assert!(!text.contains(ESCAPE), "{text}");
}

#[test]
fn a_pipe_that_nobody_reads_any_more_is_no_error() {
    for arguments in
        [&["estimate", SMALL, "--width", "60cm"][..], &["ink-set", "list"], &["--help"]]
    {
        let mut running =
            program(arguments).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(running.stdout.take());
        let output = running.wait_with_output().unwrap();
        let messages = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(0), "{arguments:?}: {messages}");
        assert_eq!(messages, "", "{arguments:?}");
    }
}
