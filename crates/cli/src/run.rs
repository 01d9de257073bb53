use std::ffi::OsString;
use std::panic;
use std::process::ExitCode;

use clap::Parser;
use rayon::ThreadPoolBuilder;

use crate::arguments::{Arguments, Command};
use crate::output::say;
use crate::{
    Exit, calibration_commands, chart_commands, colour_commands, drift_command,
    estimating_commands, ink_set_commands, job_commands, manuals, monthly_commands,
    price_list_commands, profile_command, proof_command, quote_command, separate_command,
    service_commands, watch_command,
};

/// A panic that becomes a file's error is told by that error alone.
fn keep_caught_panics_quiet() {
    let usual = panic::take_hook();
    panic::set_hook(Box::new(move |panic| {
        if !intake::panic_is_caught() {
            usual(panic);
        }
    }));
}

/// Runs the command that the arguments name; the first is the program's own name.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    keep_caught_panics_quiet();
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(message) => {
            // Printing help can only fail where nobody reads it.
            let _ = message.print();
            return if message.use_stderr() { Exit::Usage } else { Exit::Answered }.into();
        }
    };
    if let Some(threads) = arguments.threads {
        // It fails where threads have been started already, and nothing else is lost then.
        let _ = ThreadPoolBuilder::new().num_threads(threads.into()).build_global();
    }
    let ended = match &arguments.command {
        Command::Estimate(arguments) => estimating_commands::run_estimate(arguments),
        Command::Compare(arguments) => estimating_commands::run_compare(arguments),
        Command::Watch(arguments) => watch_command::run(arguments),
        Command::Proof(arguments) => proof_command::run(arguments),
        Command::Separate(arguments) => separate_command::run(arguments),
        Command::Profile(command) => profile_command::run(command),
        Command::Colours(command) => colour_commands::run(command),
        Command::Chart(command) => chart_commands::run(command),
        Command::Quote(arguments) => quote_command::run(arguments),
        Command::Routing(arguments) => monthly_commands::run_routing(arguments),
        Command::Payback(arguments) => monthly_commands::run_payback(arguments),
        Command::PriceList(command) => price_list_commands::run(command),
        Command::InkSet(command) => ink_set_commands::run(command),
        Command::Jobs(command) => job_commands::run(command),
        Command::Calibration(command) => calibration_commands::run(command),
        Command::Drift(arguments) => drift_command::run(arguments),
        Command::Serve(arguments) => service_commands::run_serve(arguments),
        Command::Keys(command) => service_commands::run_keys(command),
        Command::Backup(arguments) => service_commands::run_backup(arguments),
        Command::CountUpload(arguments) => return service_commands::run_count_upload(arguments),
        Command::Completions { shell } => manuals::run_completions(*shell),
        Command::ManPages { output } => manuals::run_man_pages(output),
    };
    match ended {
        Ok(exit) => exit.into(),
        Err(fault) => {
            say("error", &fault.to_string());
            fault.exit().into()
        }
    }
}
