use std::path::PathBuf;
use std::time::SystemTime;

use clap::{Args, Subcommand};
use estimating::output_profile_of;

use crate::Exit;
use crate::output::{say, write_file};
use crate::prepared_sets::prepare_one;
use crate::print_arguments::DeviceArguments;
use crate::shell_error::ShellError;
use crate::universal_time::UniversalTime;

#[derive(Debug, Subcommand)]
pub(crate) enum ProfileCommand {
    /// Write the separation of an ink set as an ICC output profile
    #[command(
        after_help = "Example: inkfathom profile write --ink-set nine --output nine-satin.icc"
    )]
    Write(WriteArguments),
}

#[derive(Debug, Args)]
pub(crate) struct WriteArguments {
    /// Built-in ink set or path of a TOML file
    #[arg(long, value_name = "NAME|PATH")]
    ink_set: String,
    #[command(flatten)]
    device: DeviceArguments,
    /// The profile to write
    #[arg(long, value_name = "PATH")]
    output: PathBuf,
}

/// `inkfathom profile …`.
pub(crate) fn run(command: &ProfileCommand) -> Result<Exit, ShellError> {
    let ProfileCommand::Write(arguments) = command;
    let prepared = prepare_one(&arguments.device, &arguments.ink_set)?;
    let made = UniversalTime::at(SystemTime::now()).parts();
    let profile = output_profile_of(&prepared, made).map_err(ShellError::UnusableInkSet)?;
    write_file(&profile, &arguments.output)?;
    say(
        "ok",
        &format!(
            "{}: `{}` on {}, {}, {} bytes; a prediction, not a measurement",
            arguments.output.display(),
            prepared.set().name,
            prepared.substrate().name,
            prepared.print_mode().name,
            profile.len()
        ),
    );
    Ok(Exit::Answered)
}
