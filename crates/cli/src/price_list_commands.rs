use std::path::Path;

use pricing::{builtin_price_list, builtin_price_list_names};

use crate::Exit;
use crate::output::{say, write_new, write_result};
use crate::price_list_source::{read_price_list, unknown};
use crate::pricing_arguments::PriceListCommand;
use crate::shell_error::ShellError;

/// `inkfathom price-list …`.
pub(crate) fn run(command: &PriceListCommand) -> Result<Exit, ShellError> {
    match command {
        PriceListCommand::List => list(),
        PriceListCommand::Show { price_list } => show(price_list),
        PriceListCommand::Check { price_lists } => Ok(check(price_lists)),
        PriceListCommand::Copy { price_list, path } => copy(price_list, path),
    }
}

fn list() -> Result<Exit, ShellError> {
    let lines = builtin_price_list_names().map(|name| {
        let list = read_price_list(name)?;
        Ok(format!("{name:<8} {}\n", list.title))
    });
    write_result(&lines.collect::<Result<String, ShellError>>()?, None)?;
    Ok(Exit::Answered)
}

fn show(name: &str) -> Result<Exit, ShellError> {
    let list = read_price_list(name)?;
    write_result(&report::price_list_table(&list), None)?;
    Ok(Exit::Answered)
}

/// Checks every file, also after one has failed.
fn check(names: &[String]) -> Exit {
    let mut exit = Exit::Answered;
    for name in names {
        match read_price_list(name) {
            Ok(list) => say("ok", &format!("{name}: price list `{}`", list.name)),
            Err(fault) => {
                say("error", &fault.to_string());
                exit = Exit::List;
            }
        }
    }
    exit
}

fn copy(name: &str, path: &Path) -> Result<Exit, ShellError> {
    let list = builtin_price_list(name).ok_or_else(|| unknown(name))?;
    write_new(list.text, path)?;
    Ok(Exit::Answered)
}
