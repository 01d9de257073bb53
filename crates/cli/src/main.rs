//! The `inkfathom` command.

use std::process::ExitCode;

fn main() -> ExitCode {
    inkfathom_cli::run(std::env::args_os())
}
