use colour::{FIRST_BAND_NM, Lab, STEP_NM};
use csv::Writer;
use estimating::{PredictedMixture, PreparedSet, SeparatedColour};
use units::Coverage;

use crate::estimate_table::{plain_table, push_line};
use crate::wire;

/// Single colours on ink sets, ready to be written in any form.
#[derive(Clone, Debug)]
pub struct ColourReport {
    document: wire::ColourDocument,
}

/// Mixtures of inks with what they print, ready to be written in any form.
#[derive(Clone, Debug)]
pub struct MixtureReport {
    document: wire::MixtureDocument,
}

impl ColourReport {
    /// A report without colours. `program` is the program's name and version.
    #[must_use]
    pub fn new(program: &str) -> Self {
        let document = wire::ColourDocument {
            version: wire::VERSION,
            program: program.to_owned(),
            disclaimer: wire::DISCLAIMER,
            colours: Vec::new(),
        };
        Self { document }
    }

    /// Adds what a set lays down for a colour.
    pub fn add(&mut self, separated: &SeparatedColour, set: &PreparedSet) {
        self.document.colours.push(wire::ColourSeparation {
            name: separated.asked.name.clone(),
            ink_set: set.set().name.clone(),
            asked: cielab(separated.asked.colour),
            printed: cielab(separated.printed),
            delta_e_00: separated.delta_e_00,
            channels: channels(&separated.coverages, set),
            load_ml_per_m2: separated.load.to_millilitres_per_square_metre(),
            total_area_coverage: separated.total_area_coverage.to_fraction(),
            limited: separated.limited,
        });
    }

    /// JSON, version [`wire::VERSION`].
    ///
    /// # Errors
    ///
    /// None in practice: the form holds only finite numbers and texts.
    pub fn to_json(&self) -> serde_json::Result<String> {
        serde_json::to_string_pretty(&self.document).map(|json| json + "\n")
    }

    /// CSV: a row for each colour, ink set and ink.
    #[must_use]
    pub fn to_csv(&self) -> String {
        let head = [
            "name",
            "ink_set",
            "asked_l",
            "asked_a",
            "asked_b",
            "printed_l",
            "printed_a",
            "printed_b",
            "delta_e_00",
            "load_ml_per_m2",
            "total_area_coverage",
            "limited",
            "ink",
            "coverage",
        ];
        let rows = self.document.colours.iter().flat_map(|colour| {
            colour.channels.iter().map(|channel| {
                let mut row = vec![colour.name.clone(), colour.ink_set.clone()];
                row.extend(coordinates(colour.asked));
                row.extend(coordinates(colour.printed));
                row.push(colour.delta_e_00.to_string());
                row.push(colour.load_ml_per_m2.to_string());
                row.push(colour.total_area_coverage.to_string());
                row.push(colour.limited.to_string());
                row.extend([channel.name.clone(), channel.coverage.to_string()]);
                row
            })
        });
        csv(&head, rows)
    }

    /// A table for a terminal.
    #[must_use]
    pub fn to_table(&self) -> String {
        let head = ["colour", "ink set", "inks", "ml/m²", "printed L*, a*, b*", "ΔE00"];
        let mut table = plain_table(head);
        for colour in &self.document.colours {
            let limited = if colour.limited { " (limited)" } else { "" };
            table.add_row([
                colour.name.clone(),
                colour.ink_set.clone(),
                inks(&colour.channels),
                format!("{:.2}{limited}", colour.load_ml_per_m2),
                shown(colour.printed),
                format!("{:.2}", colour.delta_e_00),
            ]);
        }
        with_disclaimer(&table.to_string())
    }
}

impl MixtureReport {
    /// A report without mixtures. `program` is the program's name and version.
    #[must_use]
    pub fn new(program: &str) -> Self {
        let document = wire::MixtureDocument {
            version: wire::VERSION,
            program: program.to_owned(),
            disclaimer: wire::DISCLAIMER,
            mixtures: Vec::new(),
        };
        Self { document }
    }

    /// Adds what a mixture of a set's inks prints.
    pub fn add(&mut self, mixture: &PredictedMixture, set: &PreparedSet) {
        self.document.mixtures.push(wire::Mixture {
            ink_set: set.set().name.clone(),
            channels: channels(&mixture.coverages, set),
            relative: cielab(mixture.relative),
            absolute: cielab(mixture.absolute),
            load_ml_per_m2: mixture.load.to_millilitres_per_square_metre(),
            total_area_coverage: mixture.total_area_coverage.to_fraction(),
            within_limits: mixture.within_limits,
            spectrum: wire::Reflectances {
                first_nm: FIRST_BAND_NM,
                step_nm: STEP_NM,
                reflectance: mixture.spectrum.bands().to_vec(),
            },
        });
    }

    /// JSON, version [`wire::VERSION`].
    ///
    /// # Errors
    ///
    /// None in practice: the form holds only finite numbers and texts.
    pub fn to_json(&self) -> serde_json::Result<String> {
        serde_json::to_string_pretty(&self.document).map(|json| json + "\n")
    }

    /// CSV: a row for each mixture and band.
    #[must_use]
    pub fn to_csv(&self) -> String {
        let head = [
            "mixture",
            "ink_set",
            "relative_l",
            "relative_a",
            "relative_b",
            "absolute_l",
            "absolute_a",
            "absolute_b",
            "load_ml_per_m2",
            "total_area_coverage",
            "within_limits",
            "nm",
            "reflectance",
        ];
        let rows = self.document.mixtures.iter().flat_map(|mixture| {
            bands(&mixture.spectrum).map(|(nm, reflectance)| {
                let mut row = vec![inks(&mixture.channels), mixture.ink_set.clone()];
                row.extend(coordinates(mixture.relative));
                row.extend(coordinates(mixture.absolute));
                row.push(mixture.load_ml_per_m2.to_string());
                row.push(mixture.total_area_coverage.to_string());
                row.push(mixture.within_limits.to_string());
                row.extend([nm.to_string(), reflectance.to_string()]);
                row
            })
        });
        csv(&head, rows)
    }

    /// A table for a terminal; spectra are in the other forms.
    #[must_use]
    pub fn to_table(&self) -> String {
        let head =
            ["inks", "ink set", "ml/m²", "L*, a*, b* to paper", "L*, a*, b* absolute", "limits"];
        let mut table = plain_table(head);
        for mixture in &self.document.mixtures {
            table.add_row([
                inks(&mixture.channels),
                mixture.ink_set.clone(),
                format!("{:.2}", mixture.load_ml_per_m2),
                shown(mixture.relative),
                shown(mixture.absolute),
                if mixture.within_limits { "kept" } else { "passed" }.to_owned(),
            ]);
        }
        with_disclaimer(&table.to_string())
    }
}

fn channels(coverages: &[Coverage], set: &PreparedSet) -> Vec<wire::ChannelCoverage> {
    let inks = set.set().inks.iter().zip(coverages);
    inks.map(|(ink, coverage)| wire::ChannelCoverage {
        name: ink.name.clone(),
        coverage: coverage.to_fraction(),
    })
    .collect()
}

const fn cielab(colour: Lab) -> wire::Cielab {
    wire::Cielab { l: colour.l, a: colour.a, b: colour.b }
}

fn coordinates(colour: wire::Cielab) -> [String; 3] {
    [colour.l, colour.a, colour.b].map(|axis| axis.to_string())
}

fn shown(colour: wire::Cielab) -> String {
    format!("{:.1}, {:.1}, {:.1}", colour.l, colour.a, colour.b)
}

/// The inks that print, with percentages.
fn inks(channels: &[wire::ChannelCoverage]) -> String {
    let printing = channels.iter().filter(|channel| channel.coverage > 0.0);
    let named: Vec<String> = printing
        .map(|channel| format!("{} {:.1} %", channel.name, 100.0 * channel.coverage))
        .collect();
    if named.is_empty() { "none".to_owned() } else { named.join(", ") }
}

/// Wavelength and reflectance of each band.
fn bands(spectrum: &wire::Reflectances) -> impl Iterator<Item = (f64, f64)> {
    let wavelengths =
        std::iter::successors(Some(spectrum.first_nm), |nm| Some(nm + spectrum.step_nm));
    wavelengths.zip(spectrum.reflectance.iter().copied())
}

fn csv(head: &[&str], rows: impl Iterator<Item = Vec<String>>) -> String {
    let mut writer = Writer::from_writer(Vec::new());
    // Writing to memory can't fail.
    let _ = writer.write_record(head);
    for row in rows {
        let _ = writer.write_record(row);
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}

fn with_disclaimer(table: &str) -> String {
    let mut text = String::new();
    push_line(&mut text, table);
    push_line(&mut text, wire::DISCLAIMER);
    text
}
