use std::fs;

use charts::Chart;
use inkset::{InkSet, Provenance};
use print_model::{Fit, FitRequest};
use report::{FitReport, chart_summary};

use crate::Exit;
use crate::chart_arguments::{ChartArguments, ChartCommand, FitArguments, ReportFormat};
use crate::estimating_commands::PROGRAM;
use crate::ink_set_source::read_ink_set;
use crate::output::{say, write_new, write_result};
use crate::shell_error::ShellError;

/// `inkfathom chart …`.
pub(crate) fn run(command: &ChartCommand) -> Result<Exit, ShellError> {
    match command {
        ChartCommand::Show { chart } => show(chart),
        ChartCommand::Fit(arguments) => fit(arguments),
    }
}

fn show(arguments: &ChartArguments) -> Result<Exit, ShellError> {
    let chart = read_chart(arguments)?;
    write_result(&chart_summary(&arguments.file.display().to_string(), &chart), None)?;
    Ok(Exit::Answered)
}

/// Fits, writes the set and then the report on it.
fn fit(arguments: &FitArguments) -> Result<Exit, ShellError> {
    let chart = read_chart(&arguments.chart)?;
    let base = read_ink_set(&arguments.base)?.set;
    let file = arguments.chart.file.display().to_string();
    let request = FitRequest {
        inks: trimmed(&arguments.inks),
        families: trimmed(&arguments.families),
        name: name(arguments),
        title: title(&file),
        substrate: arguments.substrate.clone(),
        base: &base,
    };
    let fit = Fit::new(&chart, &request)
        .map_err(|cause| ShellError::Unfit { path: arguments.chart.file.clone(), cause })?;
    let text = fit.set.to_toml(&heading(&file, &chart, &base));
    // What is written must be what the reader takes.
    let written = InkSet::parse(&text, &arguments.output.display().to_string())?;
    for suspect in &fit.suspects {
        say("warning", &format!("{file}, line {}: {}", suspect.line, suspect.reason));
    }
    let report = FitReport::new(PROGRAM, &file, &chart, &fit);
    let report = match arguments.format {
        ReportFormat::Text => report.to_text(),
        ReportFormat::Json => {
            report.to_json().map_err(|fault| ShellError::Json(fault.to_string()))?
        }
    };
    write_new(&text, &arguments.output)?;
    for notice in &written.notices {
        say("notice", &notice.to_string());
    }
    write_result(&report, None)?;
    Ok(Exit::Answered)
}

fn trimmed(names: &[String]) -> Vec<String> {
    names.iter().map(|name| name.trim().to_owned()).collect()
}

fn read_chart(arguments: &ChartArguments) -> Result<Chart, ShellError> {
    let path = &arguments.file;
    let bytes = fs::read(path)
        .map_err(|cause| ShellError::UnreadableChart { path: path.clone(), cause })?;
    let origin = path.display().to_string();
    let (names, contradictions) = (arguments.sample_names(), arguments.contradictions());
    Ok(Chart::read_with(&bytes, &origin, &names, contradictions)?)
}

fn name(arguments: &FitArguments) -> String {
    let stem = arguments.output.file_stem().map(|stem| stem.to_string_lossy().into_owned());
    arguments.name.clone().or(stem).unwrap_or_else(|| "measured".to_owned())
}

/// Titles have up to a hundred characters.
fn title(file: &str) -> String {
    let kept: Vec<char> = file.chars().filter(|c| !c.is_control()).collect();
    let from = kept.len().saturating_sub(80);
    format!("fitted to {}", kept[from..].iter().collect::<String>())
}

/// The comment at the head of the file: where it comes from, and what in it was not measured.
fn heading(file: &str, chart: &Chart, base: &InkSet) -> String {
    let invented = match base.provenance {
        Provenance::Invented => ", which is INVENTED",
        Provenance::Measured => "",
    };
    format!(
        "Fitted to {file} ({}) by {PROGRAM}.\n\nMeasured: spectra, curves and primaries. A chart fixes \
         colour, not volume: device values are\ntaken as coverage, and what they fire is unknown. \
         Taken over from ink set `{}`{invented}:\nlimits, print modes, separation and machine; put \
         your own there.",
        chart.title.as_deref().unwrap_or("untitled"),
        base.name
    )
}
