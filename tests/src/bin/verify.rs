//! Runs every check of the project and stops at the first that fails.
//!
//! `cargo verify` needs Rust, a C compiler and nasm; `cargo verify --full` also runs the second
//! computations in Python and may leave nothing out.

use std::process::{Command, ExitCode};

/// Name of a check and the command that makes it.
type Check = (&'static str, &'static [&'static str]);

const CHECKS: &[Check] = &[
    ("format", &["cargo", "fmt", "--all", "--check"]),
    (
        "lints",
        &["cargo", "clippy", "--workspace", "--all-targets", "--locked", "--", "--deny", "warnings"],
    ),
    ("tests", &["cargo", "test", "--workspace", "--locked"]),
    ("documentation", &["cargo", "doc", "--workspace", "--no-deps", "--locked"]),
];

/// Checks that need Python with the packages of `tests/oracles/requirements.txt`.
const FULL_CHECKS: &[Check] = &[
    ("second computation of colour", &["python3", "tests/oracles/colorimetry.py"]),
];

#[expect(clippy::print_stderr, reason = "this program is a shell for the checks")]
fn main() -> ExitCode {
    let full = std::env::args().any(|argument| argument == "--full");
    let checks = CHECKS.iter().chain(FULL_CHECKS.iter().filter(|_| full));
    for (name, command) in checks {
        eprintln!("verify: {name}: {}", command.join(" "));
        if !succeeds(command) {
            eprintln!("verify: {name} failed");
            return ExitCode::FAILURE;
        }
    }
    eprintln!("verify: everything holds");
    ExitCode::SUCCESS
}

fn succeeds(command: &[&str]) -> bool {
    Command::new(command[0])
        .args(&command[1..])
        .env("RUSTDOCFLAGS", "--deny warnings")
        .current_dir(inkfathom_tests::repository())
        .status()
        .is_ok_and(|status| status.success())
}
