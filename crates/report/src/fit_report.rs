use charts::Chart;
use inkset::{MixedBands, RampLaw};
use print_model::{Accuracy, Fit, FittedModel, LightInksFit};

use crate::estimate_table::{plain_table, push_line};
use crate::wire_fit as wire;

/// How well a fitted ink set predicts its chart, ready to be written.
#[derive(Clone, Debug)]
pub struct FitReport {
    document: wire::Document,
}

/// Said by every fit report.
const DISCLAIMER: &str = "A prediction is not a measurement, and a chart fixes colour, not volume.";

impl FitReport {
    /// Puts the report together; `program` is the program's name and version, `file` the chart as it
    /// was named.
    #[must_use]
    pub fn new(program: &str, file: &str, chart: &Chart, fit: &Fit) -> Self {
        let models = fit
            .models
            .iter()
            .enumerate()
            .map(|(place, fitted)| model(fitted, place == fit.chosen))
            .collect();
        let worst = fit.worst.iter().map(|patch| wire::Worst {
            line: patch.line,
            sample: patch.sample.clone(),
            device_percent: patch.device.iter().map(|v| 100.0 * v.to_fraction()).collect(),
            delta_e_00: patch.difference,
        });
        let suspects = fit.suspects.iter().map(|patch| wire::Suspect {
            line: patch.line,
            sample: patch.sample.clone(),
            reason: patch.reason.clone(),
        });
        Self {
            document: wire::Document {
                version: wire::VERSION,
                program: program.to_owned(),
                disclaimer: DISCLAIMER,
                chart: file.to_owned(),
                ink_set: fit.set.name.clone(),
                inks: fit.set.inks.iter().map(|ink| ink.name.clone()).collect(),
                bands: match fit.bands {
                    MixedBands::Spectral => "spectral",
                    MixedBands::Tristimulus => "tristimulus",
                },
                patches: fit.patches,
                models,
                light_inks: fit.light_inks.as_ref().map(light_inks),
                worst: worst.collect(),
                suspects: suspects.collect(),
                assumptions: fit.assumptions.clone(),
                notices: chart.notices.iter().map(ToString::to_string).collect(),
            },
        }
    }

    /// The serialised form.
    #[must_use]
    pub const fn document(&self) -> &wire::Document {
        &self.document
    }

    /// JSON, version [`wire::VERSION`](crate::wire_fit::VERSION).
    ///
    /// # Errors
    ///
    /// None in practice: the form holds only finite numbers and texts.
    pub fn to_json(&self) -> serde_json::Result<String> {
        serde_json::to_string_pretty(&self.document).map(|json| json + "\n")
    }

    /// Text for reading.
    #[must_use]
    pub fn to_text(&self) -> String {
        let document = &self.document;
        let mut text = String::new();
        push_line(&mut text, &heading(document));
        push_line(&mut text, &accuracy_table(&document.models));
        push_light_inks(&mut text, document);
        for model in &document.models {
            push_lacking(&mut text, model);
        }
        push_worst(&mut text, document);
        push_suspects(&mut text, document);
        for line in document.assumptions.iter().chain(&document.notices) {
            push_line(&mut text, &format!("- {line}"));
        }
        push_line(&mut text, &format!("\n{}", document.disclaimer));
        text
    }
}

fn model(fitted: &FittedModel, chosen: bool) -> wire::Model {
    let (law, n) = match fitted.law {
        RampLaw::YuleNielsen { n } => ("yule-nielsen", n),
        RampLaw::KubelkaMunk { n } => ("kubelka-munk", n),
        RampLaw::KubelkaMunkMixtures { n } => ("kubelka-munk-mixtures", n),
    };
    wire::Model {
        chosen,
        levels: fitted.levels.clone(),
        measured_primaries: fitted.measured_primaries,
        estimated_primaries: fitted.estimated_primaries.clone(),
        predicted_primaries: fitted.predicted_primaries.clone(),
        law,
        n,
        fitted: accuracy(fitted.fitted),
        left_out: fitted.left_out.map(accuracy),
    }
}

fn light_inks(fitted: &LightInksFit) -> wire::LightInks {
    wire::LightInks {
        inks: fitted.inks.clone(),
        fitted: accuracy(fitted.fitted),
        left_out: fitted.left_out.map(accuracy),
    }
}

const fn accuracy(accuracy: Accuracy) -> wire::Accuracy {
    wire::Accuracy {
        patches: accuracy.patches,
        mean_delta_e_00: accuracy.mean,
        p95_delta_e_00: accuracy.percentile_95,
        max_delta_e_00: accuracy.maximum,
    }
}

fn heading(document: &wire::Document) -> String {
    let inks = document.inks.join(", ");
    let bands = match document.bands {
        "spectral" => "spectra",
        _ => "tristimulus values, no spectra",
    };
    format!(
        "{}: {} patches of {inks}; {bands}\nink set {}",
        document.chart, document.patches, document.ink_set
    )
}

fn accuracy_table(models: &[wire::Model]) -> String {
    let mut table =
        plain_table(["ΔE00 of prediction", "law", "n", "patches", "mean", "95 %", "maximum"]);
    for model in models {
        let kept = if model.chosen { ", kept" } else { "" };
        let name = format!("{}{kept}", kind(model));
        table.add_row(row(&format!("{name}: all patches"), model, &model.fitted));
        if let Some(left_out) = &model.left_out {
            table.add_row(row(&format!("{name}: left out"), model, left_out));
        }
    }
    table.to_string()
}

/// "16 primaries", or "cells between 81 primaries (3 × 3 × 3 × 3)".
fn kind(model: &wire::Model) -> String {
    let count: usize = model.levels.iter().product();
    if model.levels.iter().all(|levels| *levels == 2) {
        return format!("{count} primaries");
    }
    let levels: Vec<String> = model.levels.iter().map(ToString::to_string).collect();
    format!("cells between {count} primaries ({})", levels.join(" × "))
}

fn row(name: &str, model: &wire::Model, accuracy: &wire::Accuracy) -> [String; 7] {
    [
        name.to_owned(),
        model.law.to_owned(),
        format!("{:.2}", model.n),
        accuracy.patches.to_string(),
        format!("{:.2}", accuracy.mean_delta_e_00),
        format!("{:.2}", accuracy.p95_delta_e_00),
        format!("{:.2}", accuracy.max_delta_e_00),
    ]
}

/// How the patches with light inks are predicted.
fn push_light_inks(text: &mut String, document: &wire::Document) {
    let Some(light) = &document.light_inks else { return };
    let figures = |of: &wire::Accuracy| {
        format!(
            "{} patches, ΔE00 mean {:.2}, 95 % {:.2}, maximum {:.2}",
            of.patches, of.mean_delta_e_00, of.p95_delta_e_00, of.max_delta_e_00
        )
    };
    let names = light.inks.join(", ");
    push_line(text, &format!("light inks {names}, in no figure above: {}", figures(&light.fitted)));
    if let Some(left_out) = &light.left_out {
        push_line(text, &format!("light inks, left out: {}", figures(left_out)));
    }
}

/// How many predicted primaries the text names; the JSON form has all.
const NAMED: usize = 12;

/// The primaries that a chart lacks, and where they come from.
fn push_lacking(text: &mut String, model: &wire::Model) {
    let sources = [
        (&model.estimated_primaries, "estimated from its mixtures"),
        (&model.predicted_primaries, "predicted from the others"),
    ];
    for (primaries, source) in sources {
        if primaries.is_empty() {
            continue;
        }
        let named: Vec<&str> = primaries.iter().take(NAMED).map(String::as_str).collect();
        let more = match primaries.len().saturating_sub(NAMED) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        let (kind, count, named) = (kind(model), primaries.len(), named.join("; "));
        push_line(text, &format!("{kind}: {count} not in the chart, {source}: {named}{more}"));
    }
}

fn push_worst(text: &mut String, document: &wire::Document) {
    push_line(text, "\nworst patches");
    let mut header = vec!["sample".to_owned(), "line".to_owned()];
    header.extend(document.inks.iter().map(|ink| format!("{ink} %")));
    header.push("ΔE00".to_owned());
    let mut table = plain_table(header);
    for patch in &document.worst {
        let mut cells = vec![patch.sample.clone(), patch.line.to_string()];
        cells.extend(patch.device_percent.iter().map(|percent| format!("{percent:.0}")));
        cells.push(format!("{:.2}", patch.delta_e_00));
        table.add_row(cells);
    }
    push_line(text, &table.to_string());
}

fn push_suspects(text: &mut String, document: &wire::Document) {
    if document.suspects.is_empty() {
        push_line(text, "no suspicious patches");
        return;
    }
    push_line(text, &format!("{} suspicious patches, not used", document.suspects.len()));
    for patch in &document.suspects {
        let line = format!("! line {}, sample {}: {}", patch.line, patch.sample, patch.reason);
        push_line(text, &line);
    }
}
