use std::fs;
use std::io;
use std::path::Path;

use clap::{Command, CommandFactory};
use clap_complete::{Shell, generate};
use clap_mangen::Man;

use crate::Exit;
use crate::arguments::Arguments;
use crate::output::{unwritable, write_file, write_result};
use crate::shell_error::ShellError;

/// `inkfathom completions`.
pub(crate) fn run_completions(shell: Shell) -> Result<Exit, ShellError> {
    let mut words = Vec::new();
    generate(shell, &mut Arguments::command(), "inkfathom", &mut words);
    write_result(&String::from_utf8_lossy(&words), None)?;
    Ok(Exit::Answered)
}

/// `inkfathom man-pages`.
pub(crate) fn run_man_pages(folder: &Path) -> Result<Exit, ShellError> {
    fs::create_dir_all(folder).map_err(|cause| unwritable(folder, &cause))?;
    let mut program = Arguments::command().disable_help_subcommand(true);
    program.build();
    write_pages(&program, "inkfathom", folder)?;
    Ok(Exit::Answered)
}

/// Writes the page of a command and those of the commands within, as `inkfathom-jobs-add.1`.
fn write_pages(command: &Command, name: &str, folder: &Path) -> Result<(), ShellError> {
    let page = page_of(command, name).map_err(|cause| unwritable(folder, &cause))?;
    write_file(&page, &folder.join(format!("{name}.1")))?;
    for within in command.get_subcommands().filter(|within| !within.is_hide_set()) {
        write_pages(within, &format!("{name}-{}", within.get_name()), folder)?;
    }
    Ok(())
}

fn page_of(command: &Command, name: &str) -> io::Result<Vec<u8>> {
    let mut page = Vec::new();
    Man::new(command.clone()).title(name).render(&mut page)?;
    Ok(page)
}
