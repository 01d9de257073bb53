use std::collections::BTreeMap;
use std::fmt::{Display, Write};

use colour::Spectrum;
use units::{Coverage, LayDown, Share};

use crate::{
    Backing, BuiltSeparation, Cartridge, DeviceCurve, DropMixRow, EffectiveCoverageCurve,
    EffectiveValues, Heads, Ink, InkSet, MachineFacts, MeasuredPrimary, MeasurementCondition,
    MixedBands, PrintMode, Provenance, RampLaw, SeparationDefaults, Solid, SolidSpectrum,
    Substrate,
};

impl InkSet {
    /// Writes the set as TOML text that [`InkSet::parse`] takes, with a heading of comment lines.
    ///
    /// Reading the text gives the same set: every number is written with as many digits as it
    /// takes. Shares of drop sizes alone may differ in the last bit, because the reader makes them
    /// add up to one.
    #[must_use]
    pub fn to_toml(&self, heading: &str) -> String {
        let mut text = Toml::default();
        for line in heading.lines() {
            text.line(format!("# {line}").trim_end());
        }
        text.blank();
        text.text("name", &self.name);
        text.text("title", &self.title);
        text.text("provenance", provenance(self.provenance));
        if let Some(currency) = self.currency() {
            text.text("currency", currency);
        }
        for ink in &self.inks {
            write_ink(&mut text, ink);
        }
        let families: Vec<&str> = self.inks.iter().map(|ink| ink.family.as_str()).collect();
        for substrate in &self.substrates {
            write_substrate(&mut text, substrate, &families);
        }
        for mode in &self.print_modes {
            write_print_mode(&mut text, mode, self.inks.len());
        }
        write_separation(&mut text, &self.separation);
        write_machine(&mut text, &self.machine);
        text.0
    }

    /// The code of the currency in which prices are stated.
    fn currency(&self) -> Option<&'static str> {
        let of_inks = self.inks.iter().filter_map(|ink| ink.cartridge?.price);
        of_inks.chain(self.machine.price).next().map(|price| price.currency().code())
    }
}

/// A TOML text that grows.
#[derive(Default)]
struct Toml(String);

impl Toml {
    fn line(&mut self, line: &str) {
        // Writing to a string can't fail.
        let _ = writeln!(self.0, "{line}");
    }

    fn blank(&mut self) {
        self.line("");
    }

    fn table(&mut self, name: &str) {
        self.blank();
        self.line(&format!("[{name}]"));
    }

    fn entry_of(&mut self, name: &str) {
        self.blank();
        self.line(&format!("[[{name}]]"));
    }

    fn text(&mut self, key: &str, value: &str) {
        self.line(&format!("{key} = {}", quoted(value)));
    }

    fn value(&mut self, key: &str, value: impl Display) {
        self.line(&format!("{key} = {value}"));
    }

    fn percent(&mut self, key: &str, fraction: f64) {
        self.value(key, percent(fraction));
    }

    fn list(&mut self, key: &str, values: impl Iterator<Item = String>) {
        let values: Vec<String> = values.collect();
        self.line(&format!("{key} = [{}]", values.join(", ")));
    }

    fn spectrum(&mut self, spectrum: &Spectrum) {
        self.line("spectrum = [");
        self.rows(spectrum.bands(), "  ", |reflectance| format!("{reflectance:?}"));
        self.line("]");
    }

    /// Nine numbers a line.
    fn rows(&mut self, values: &[f64], indent: &str, form: impl Fn(f64) -> String) {
        for row in values.chunks(9) {
            let row: Vec<String> = row.iter().map(|value| form(*value)).collect();
            self.line(&format!("{indent}{},", row.join(", ")));
        }
    }
}

fn write_ink(text: &mut Toml, ink: &Ink) {
    text.entry_of("ink");
    text.text("name", &ink.name);
    text.text("family", &ink.family);
    text.text("strength", if ink.is_full_strength() { "full" } else { "light" });
    let density = match &ink.solid {
        Solid::Full(_) => None,
        Solid::LightBySpectrum { stated_strength, .. } => *stated_strength,
        Solid::LightByStrength(strength) => Some(*strength),
    };
    if let Some(density) = density {
        text.percent("density_percent", density.to_fraction());
    }
    text.percent("limit_percent", ink.limit.to_fraction());
    if let Some(Cartridge { size, price }) = ink.cartridge {
        text.value("cartridge_ml", size.to_millilitres());
        if let Some(price) = price {
            text.value("cartridge_price", price.amount());
        }
    }
    text.text("provenance", provenance(ink.provenance));
    if let Some(solid) = ink.solid_spectrum() {
        write_solid(text, solid);
    }
}

fn write_solid(text: &mut Toml, solid: &SolidSpectrum) {
    text.table("ink.solid");
    text.text("printed_on", &solid.printed_on);
    text.text("condition", condition(solid.condition));
    text.text("backing", backing(solid.backing));
    text.spectrum(&solid.spectrum);
}

fn write_substrate(text: &mut Toml, substrate: &Substrate, families: &[&str]) {
    text.entry_of("substrate");
    text.text("name", &substrate.name);
    if let Some(black) = &substrate.active_black {
        text.text("active_black", black);
    }
    text.value("load_limit_ml_per_m2", substrate.load_limit.to_millilitres_per_square_metre());
    let total = substrate.total_area_coverage_limit.to_fraction();
    text.percent("total_area_coverage_limit_percent", total);
    text.value("darkest_reflectance", substrate.darkest_reflectance.to_unit());
    text.value("surface_reflectance", substrate.surface_reflectance.to_unit());
    text.percent("trapping_percent", substrate.trapping.to_fraction());
    text.text("provenance", provenance(substrate.provenance));
    text.table("substrate.white");
    text.text("condition", condition(substrate.condition));
    text.text("backing", backing(substrate.backing));
    text.spectrum(&substrate.white);
    write_ramp(text, substrate);
    for (name, curve) in &substrate.curves {
        let owner = if families.contains(&name.as_str()) { "family" } else { "ink" };
        write_curve(text, (owner, name), curve);
    }
    for primary in &substrate.primaries {
        write_primary(text, primary);
    }
}

fn write_ramp(text: &mut Toml, substrate: &Substrate) {
    let (law, n) = match substrate.ramp_law {
        RampLaw::YuleNielsen { n } => ("yule-nielsen", n),
        RampLaw::KubelkaMunk { n } => ("kubelka-munk", n),
        RampLaw::KubelkaMunkMixtures { n } => ("kubelka-munk-mixtures", n),
    };
    text.table("substrate.ramp");
    text.text("law", law);
    text.value("n", n);
    if substrate.mixed_bands == MixedBands::Tristimulus {
        text.text("bands", "tristimulus");
    }
}

fn write_curve(text: &mut Toml, (key, name): (&str, &str), curve: &EffectiveCoverageCurve) {
    text.entry_of("substrate.curve");
    text.text(key, name);
    text.list("coverage_percent", curve.coverages.iter().map(|c| percent(*c)));
    match &curve.effective {
        EffectiveValues::AllBands(values) => {
            text.list("effective_percent", values.iter().map(|v| percent(v.to_fraction())));
        }
        EffectiveValues::PerBand(rows) => write_rows(text, rows.iter().map(|row| &row[..])),
        EffectiveValues::PerTristimulus(rows) => write_rows(text, rows.iter().map(|row| &row[..])),
    }
}

fn write_rows<'a>(text: &mut Toml, rows: impl Iterator<Item = &'a [f64]>) {
    text.line("effective_percent_per_band = [");
    for row in rows {
        text.line("  [");
        text.rows(row, "    ", percent);
        text.line("  ],");
    }
    text.line("]");
}

fn write_primary(text: &mut Toml, primary: &MeasuredPrimary) {
    text.entry_of("substrate.primary");
    let amount = |(family, amount): (&String, &Coverage)| {
        format!("{} = {}", quoted(family), percent(amount.to_fraction()))
    };
    let amounts: Vec<String> = primary.amounts.iter().map(amount).collect();
    text.line(&format!("amounts_percent = {{ {} }}", amounts.join(", ")));
    text.spectrum(&primary.spectrum);
}

fn write_print_mode(text: &mut Toml, mode: &PrintMode, inks: usize) {
    text.entry_of("print_mode");
    text.text("name", &mode.name);
    text.value("across_dpi", mode.across.to_dots_per_inch());
    text.value("along_dpi", mode.along.to_dots_per_inch());
    if !drops_are_substituted(mode, inks) {
        text.value("drops_per_cell", mode.drops_per_cell);
        let volumes = mode.drop_mix.volumes.iter();
        text.list("drop_volumes_pl", volumes.map(|drop| drop.to_picolitres().to_string()));
    }
    if all_unknown(&mode.device_curve, inks) {
        text.text("device_curve", "unknown");
    }
    if mode.drop_mix.volumes.len() > 1 {
        for row in &mode.drop_mix.rows {
            write_drop_mix_row(text, row);
        }
    }
    if !mode.lay_down.is_empty() {
        text.table("print_mode.lay_down_ml_per_m2");
        for (ink, lay_down) in &mode.lay_down {
            text.value(&quoted(ink), lay_down.to_millilitres_per_square_metre());
        }
    }
    if !all_unknown(&mode.device_curve, inks) {
        write_device_curves(text, &mode.device_curve);
    }
}

/// Whether the drops stand in for drops that the file did not state: the reader makes them again
/// from the lay-down of every ink.
fn drops_are_substituted(mode: &PrintMode, inks: usize) -> bool {
    let [drop] = mode.drop_mix.volumes[..] else { return false };
    let of_dots = LayDown::from_dots(mode.across, mode.along, 1.0, drop);
    let Ok(of_dots) = of_dots.map(LayDown::to_millilitres_per_square_metre) else { return false };
    let stated = mode.lay_down.values().map(|l| l.to_millilitres_per_square_metre());
    #[expect(clippy::cast_precision_loss, reason = "there are at most twelve inks")]
    let mean = stated.sum::<f64>() / mode.lay_down.len() as f64;
    mode.lay_down.len() == inks && mode.drops_per_cell == 1.0 && (of_dots / mean - 1.0).abs() < 1e-9
}

fn all_unknown(curves: &BTreeMap<String, DeviceCurve>, inks: usize) -> bool {
    curves.len() == inks && curves.values().all(|curve| *curve == DeviceCurve::Unknown)
}

fn write_drop_mix_row(text: &mut Toml, row: &DropMixRow) {
    text.entry_of("print_mode.drop_mix");
    text.percent("coverage_percent", row.coverage.to_fraction());
    text.list("shares_percent", row.shares.iter().map(|s: &Share| percent(s.to_fraction())));
}

fn write_device_curves(text: &mut Toml, curves: &BTreeMap<String, DeviceCurve>) {
    let is_unknown = |curve: &&DeviceCurve| **curve == DeviceCurve::Unknown;
    if curves.values().any(|curve| is_unknown(&curve)) {
        text.table("print_mode.device_curve");
    }
    for (ink, _) in curves.iter().filter(|(_, curve)| is_unknown(curve)) {
        text.text(&quoted(ink), "unknown");
    }
    for (ink, curve) in curves {
        if let DeviceCurve::Points(points) = curve {
            text.table(&format!("print_mode.device_curve.{}", quoted(ink)));
            text.list("device_percent", points.iter().map(|p| percent(p.0.to_fraction())));
            text.list("coverage_percent", points.iter().map(|p| percent(p.1.to_fraction())));
        }
    }
}

fn write_separation(text: &mut Toml, separation: &SeparationDefaults) {
    text.table("separation");
    match separation {
        SeparationDefaults::OutputProfile(path) => {
            text.text("output_profile", &path.to_string_lossy());
        }
        SeparationDefaults::Built(built) => write_built(text, built),
    }
}

fn write_built(text: &mut Toml, built: &BuiltSeparation) {
    text.percent("black_replacement_percent", built.black_replacement.to_fraction());
    text.value("black_start_lightness", built.black_start);
    text.value("black_curve_exponent", built.black_curve);
    for (table, amounts) in
        [("crossover_percent", &built.crossover), ("family_limit_percent", &built.family_limits)]
    {
        if !amounts.is_empty() {
            text.table(&format!("separation.{table}"));
            for (name, amount) in amounts {
                text.percent(&quoted(name), amount.to_fraction());
            }
        }
    }
}

fn write_machine(text: &mut Toml, machine: &MachineFacts) {
    if *machine == MachineFacts::default() {
        return;
    }
    text.table("machine");
    if let Some(widest) = machine.widest {
        let back = |cm: f64| 10.0 * cm / 1000.0;
        let metres = widest.to_metres();
        text.value("widest_sheet_cm", written(metres, 100.0 * metres, back));
    }
    if let Some(price) = machine.price {
        text.value("price", price.amount());
    }
    let volumes = [
        ("idle_ml_per_day", machine.idle_per_day),
        ("cleaning_ml", machine.cleaning),
        ("start_up_ml", machine.start_up),
    ];
    for (key, volume) in volumes {
        if let Some(volume) = volume {
            text.value(key, volume.to_millilitres());
        }
    }
    if let Some(residual) = machine.residual_ink {
        text.percent("residual_percent", residual.to_fraction());
    }
    if let Some(cleanings) = machine.cleanings_per_month {
        text.value("cleanings_per_month", cleanings);
    }
    if let Some(Heads { count, price, life_months }) = machine.heads {
        text.value("heads", count);
        text.value("head_price", price.amount());
        text.value("head_life_months", life_months);
    }
    if let Some(maintenance) = machine.maintenance_per_year {
        text.value("maintenance_per_year", maintenance.amount());
    }
}

/// A fraction in percent, with as many digits as give the fraction back.
fn percent(fraction: f64) -> String {
    written(fraction, 100.0 * fraction, |percent| percent / 100.0)
}

/// The shortest decimal near `scaled` that reads back as `value`.
fn written(value: f64, scaled: f64, back: impl Fn(f64) -> f64) -> String {
    let short = (0..=16).map(|decimals| format!("{scaled:.decimals$}"));
    let exact = |text: &String| text.parse().is_ok_and(|scaled| back(scaled) == value);
    short.into_iter().find(exact).unwrap_or_else(|| scaled.to_string())
}

/// A TOML string.
fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}

const fn provenance(provenance: Provenance) -> &'static str {
    match provenance {
        Provenance::Measured => "measured",
        Provenance::Invented => "invented",
    }
}

const fn condition(condition: MeasurementCondition) -> &'static str {
    match condition {
        MeasurementCondition::M0 => "M0",
        MeasurementCondition::M1 => "M1",
        MeasurementCondition::M2 => "M2",
        MeasurementCondition::M3 => "M3",
    }
}

const fn backing(backing: Backing) -> &'static str {
    match backing {
        Backing::White => "white",
        Backing::Black => "black",
        Backing::SelfBacking => "self",
    }
}
