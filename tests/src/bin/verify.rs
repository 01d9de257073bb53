//! Runs every check of the project and stops at the first that fails.
//!
//! `cargo verify` needs Rust, a C compiler and nasm; `cargo verify --full` also runs the second
//! computations in Python and the pages in a browser, and may leave nothing out.

use std::fs;
use std::process::{Command, ExitCode};

use inkfathom_tests::repository;

/// A command that must succeed.
struct Check {
    name: &'static str,
    command: &'static [&'static str],
    /// The file of the repository that the command must print to the last byte, if any.
    prints: Option<&'static str>,
}

impl Check {
    const fn new(name: &'static str, command: &'static [&'static str]) -> Self {
        Self { name, command, prints: None }
    }

    const fn printing(
        name: &'static str,
        command: &'static [&'static str],
        file: &'static str,
    ) -> Self {
        Self { name, command, prints: Some(file) }
    }
}

#[rustfmt::skip]
const CHECKS: &[Check] = &[
    Check::new("format", &["cargo", "fmt", "--all", "--check"]),
    Check::new("lints", &[
        "cargo", "clippy", "--workspace", "--all-targets", "--locked", "--", "--deny", "warnings",
    ]),
    Check::new("tests", &["cargo", "test", "--workspace", "--locked"]),
    Check::new("documentation", &["cargo", "doc", "--workspace", "--no-deps", "--locked"]),
];

/// Checks that need Python with the packages of `tests/oracles/requirements.txt`, Node.js with those
/// of `tests/pages/package.json`, and the Debian packages that `.ci/run` installs; the last one builds
/// everything once more, in the release profile.
const FULL_CHECKS: &[Check] = &[
    Check::new("second computation of colour", &["python3", "tests/oracles/colorimetry.py"]),
    Check::new("second computation of proofs", &["python3", "tests/oracles/proof_statistics.py"]),
    Check::new("pages in a browser", &["node", "tests/pages/check_pages.mjs"]),
    Check::new("pages of the service in a browser", &["node", "tests/pages/check_service.mjs"]),
    Check::printing(
        "second computation of weights",
        &["python3", "tests/oracles/folded_weights.py"],
        "crates/colour/src/weights.rs",
    ),
    Check::printing(
        "second computation of sRGB",
        &["python3", "tests/oracles/srgb_to_lab.py"],
        "crates/icc/tests/icc/srgb_oracle.rs",
    ),
    Check::printing(
        "second computation of device values",
        &["python3", "tests/oracles/output_profile.py"],
        "tests/reference/tr006-device-values.csv",
    ),
    Check::new("output profile made anew", &["python3", "tests/oracles/cmyk_profile.py"]),
    Check::new("service against its description", &["python3", "tests/oracles/service.py"]),
    Check::new("sums of written channels", &["python3", "tests/oracles/separations.py"]),
    Check::new("charts of another writer", &["python3", "tests/oracles/cxf_files.py"]),
    Check::new("published charts", &["python3", "tests/oracles/published_charts.py"]),
    Check::new(
        "a tenth of the load on the service",
        &[
            "cargo",
            "run",
            "--quiet",
            "--release",
            "--locked",
            "--package",
            "inkfathom-benches",
            "--",
            "service-load",
            "--uploads",
            "20",
            "--questions",
            "200",
        ],
    ),
];

/// The command line makes no sense, as in the table of `inkfathom --help`.
const USAGE: u8 = 2;

#[expect(clippy::print_stderr, reason = "this program is a shell for the checks")]
fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    if arguments.iter().any(|argument| argument != "--full") {
        eprintln!("verify: only --full is known, not `{}`", arguments.join(" "));
        return USAGE.into();
    }
    let full = !arguments.is_empty();
    for check in CHECKS.iter().chain(FULL_CHECKS.iter().filter(|_| full)) {
        eprintln!("verify: {}: {}", check.name, check.command.join(" "));
        if let Err(cause) = holds(check) {
            eprintln!("verify: {} failed: {cause}", check.name);
            return ExitCode::FAILURE;
        }
    }
    eprintln!("verify: everything holds");
    ExitCode::SUCCESS
}

/// Runs a check in the repository's root folder.
fn holds(check: &Check) -> Result<(), String> {
    let mut command = Command::new(check.command[0]);
    command
        .args(&check.command[1..])
        .env("RUSTDOCFLAGS", "--deny warnings")
        .current_dir(repository());
    let Some(file) = check.prints else {
        let status = command.status().map_err(|cause| cause.to_string())?;
        return if status.success() { Ok(()) } else { Err(status.to_string()) };
    };
    let output = command.output().map_err(|cause| cause.to_string())?;
    if !output.status.success() {
        return Err(format!("{}: {}", output.status, String::from_utf8_lossy(&output.stderr)));
    }
    let expected = fs::read(repository().join(file)).map_err(|cause| cause.to_string())?;
    if output.stdout == expected {
        Ok(())
    } else {
        Err(format!("{file} differs from what it prints"))
    }
}
