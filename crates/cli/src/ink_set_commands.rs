use std::fmt::Write;
use std::path::Path;

use estimating::check_separation;
use inkset::{InkSet, InkSetSummary, InkSummary, Provenance, builtin, builtin_names, nearest_name};

use separation::{InkPolicy, SeparationInputs};

use crate::Exit;
use crate::arguments::InkSetCommand;
use crate::ink_set_source::read_ink_set;
use crate::output::{say, write_new, write_result};
use crate::output_profile_source::read_output_profile;
use crate::shell_error::ShellError;

/// `inkfathom ink-set …`.
pub(crate) fn run(command: &InkSetCommand) -> Result<Exit, ShellError> {
    match command {
        InkSetCommand::List => list(),
        InkSetCommand::Show { ink_set } => show(ink_set),
        InkSetCommand::Check { ink_sets } => Ok(check(ink_sets)),
        InkSetCommand::Copy { ink_set, path } => copy(ink_set, path),
    }
}

fn list() -> Result<Exit, ShellError> {
    let mut text = String::new();
    for name in builtin_names() {
        let set = noticed(name)?;
        line(&mut text, &format!("{name:<8} {}", set.title));
    }
    write_result(&text, None)?;
    Ok(Exit::Answered)
}

fn show(name: &str) -> Result<Exit, ShellError> {
    let set = noticed(name)?;
    let summary = set.summary().map_err(|fault| ShellError::UnusableInkSet(fault.into()))?;
    write_result(&described(&summary), None)?;
    Ok(Exit::Answered)
}

/// Reads an ink set and says what it notices.
fn noticed(name: &str) -> Result<InkSet, ShellError> {
    let parsed = read_ink_set(name)?;
    for notice in &parsed.notices {
        say("notice", &notice.to_string());
    }
    Ok(parsed.set)
}

/// Checks every file, also after one has failed.
fn check(names: &[String]) -> Exit {
    let mut exit = Exit::Answered;
    for name in names {
        match checked(name) {
            Ok(set) => say("ok", &format!("{name}: ink set `{}`", set.name)),
            Err(fault) => {
                say("error", &fault.to_string());
                exit = Exit::InkSet;
            }
        }
    }
    exit
}

/// Reads a set and tries it on each of its substrates and print modes.
fn checked(name: &str) -> Result<InkSet, ShellError> {
    let set = noticed(name)?;
    let output_profile = read_output_profile(&set, name)?;
    for substrate in &set.substrates {
        for mode in &set.print_modes {
            let inputs = SeparationInputs { set: &set, substrate, mode, policy: InkPolicy::OfSet };
            check_separation(&inputs, output_profile.as_deref())
                .map_err(ShellError::UnusableInkSet)?;
        }
    }
    Ok(set)
}

fn copy(name: &str, path: &Path) -> Result<Exit, ShellError> {
    let set = builtin(name).ok_or_else(|| ShellError::UnknownInkSet {
        name: name.to_owned(),
        built_in: builtin_names().collect::<Vec<_>>().join(", "),
        nearest: nearest_name(name, builtin_names()).map(str::to_owned),
    })?;
    write_new(set.text, path)?;
    Ok(Exit::Answered)
}

fn described(summary: &InkSetSummary) -> String {
    let mut text = String::new();
    line(&mut text, &format!("{}: {}", summary.name, summary.title));
    line(
        &mut text,
        &format!("{}, fingerprint {}", provenance(summary.provenance), summary.fingerprint),
    );
    line(&mut text, "\ninks, in the device's order");
    for ink in &summary.inks {
        line(&mut text, &format!("  {}", described_ink(ink)));
    }
    line(&mut text, "\nsubstrates, the first is the default");
    for substrate in &summary.substrates {
        let idle = match substrate.idle.join(", ") {
            none if none.is_empty() => String::new(),
            names => format!(", leaves {names} idle"),
        };
        line(&mut text, &format!("  {:<20} white {}{idle}", substrate.name, substrate.white));
    }
    line(&mut text, "\nprint modes, the first is the default");
    for mode in &summary.print_modes {
        let lay_down = mode.lay_down.first().map(ToString::to_string).unwrap_or_default();
        line(&mut text, &format!("  {:<20} {lay_down} of {}", mode.name, summary.inks[0].name));
    }
    text
}

fn described_ink(ink: &InkSummary) -> String {
    let strength = ink.strength.map_or_else(
        || "full".to_owned(),
        |strength| format!("{:.0} % density", 100.0 * strength.to_fraction()),
    );
    let solid = ink.solid.map_or_else(String::new, |solid| format!("{solid}"));
    format!("{:<14} {:<9} {strength:<14} {solid}", ink.name, ink.family)
}

const fn provenance(provenance: Provenance) -> &'static str {
    match provenance {
        Provenance::Measured => "measured",
        Provenance::Invented => "invented",
    }
}

fn line(text: &mut String, line: &str) {
    // Writing to a string can't fail.
    let _ = writeln!(text, "{line}");
}
