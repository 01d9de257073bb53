use std::collections::BTreeMap;

use colour::Spectrum;
use strict_toml::{FormatFault, Rise, every, percent};
use units::{Coverage, EffectiveCoverage, Load, Reflectance, Share, TotalAreaCoverage};

use super::curve_ends::runs_from_0_to_100;
use super::ink::provenance_or;
use super::outline::Outline;
use super::quantity::{
    AMOUNT, CURVE_COVERAGE, CURVE_EFFECTIVE, DARKEST, LOAD_LIMIT, SURFACE, TOTAL_AREA_COVERAGE,
    TRAPPING, YULE_NIELSEN,
};
use super::spectrum::{backing, condition, spectrum};
use super::{Entry, Table};
use crate::{
    Backing, Coverages, EffectiveCoverageCurve, EffectiveValues, Fault, MeasuredPrimary,
    MeasurementCondition, MixedBands, Provenance, RampLaw, Substrate,
};

pub(super) const SUBSTRATE_KEYS: [&str; 12] = [
    "name",
    "active_black",
    "load_limit_ml_per_m2",
    "total_area_coverage_limit_percent",
    "darkest_reflectance",
    "surface_reflectance",
    "trapping_percent",
    "provenance",
    "white",
    "ramp",
    "curve",
    "primary",
];
pub(super) const WHITE_KEYS: [&str; 3] = ["condition", "backing", "spectrum"];
pub(super) const RAMP_KEYS: [&str; 3] = ["law", "n", "bands"];
pub(super) const CURVE_KEYS: [&str; 5] =
    ["family", "ink", "coverage_percent", "effective_percent", "effective_percent_per_band"];
pub(super) const PRIMARY_KEYS: [&str; 2] = ["amounts_percent", "spectrum"];

const MIXED_BANDS: [(&str, MixedBands); 2] =
    [("spectral", MixedBands::Spectral), ("tristimulus", MixedBands::Tristimulus)];

/// A ramp law by its factor.
type LawOf = fn(f64) -> RampLaw;

const RAMP_LAWS: [(&str, LawOf); 3] = [
    ("yule-nielsen", |n| RampLaw::YuleNielsen { n }),
    ("kubelka-munk", |n| RampLaw::KubelkaMunk { n }),
    ("kubelka-munk-mixtures", |n| RampLaw::KubelkaMunkMixtures { n }),
];

pub(super) fn read_substrate(
    table: &Table,
    outline: &Outline,
    of_set: Option<Provenance>,
) -> Option<Substrate> {
    table.only(&SUBSTRATE_KEYS);
    let name = table.need("name", "write a name").and_then(|entry| entry.name());
    let white = white(table);
    let active_black = active_black(table, outline);
    let load_limit = table.quantity(&LOAD_LIMIT, Load::from_millilitres_per_square_metre);
    let coverage_limit =
        table.quantity(&TOTAL_AREA_COVERAGE, percent(TotalAreaCoverage::from_fraction));
    let darkest_reflectance = table.quantity(&DARKEST, Reflectance::from_unit);
    let surface_reflectance = table.quantity(&SURFACE, Reflectance::from_unit);
    let trapping = table.quantity(&TRAPPING, percent(Share::from_fraction));
    let ramp = ramp(table);
    let curves = curves(table, outline, ramp.as_ref().map_or_else(MixedBands::default, |r| r.1));
    let primaries = primaries(table, outline);
    let provenance = provenance_or(table, of_set);
    let White { spectrum, condition, backing } = white?;
    let (ramp_law, mixed_bands) = ramp?;
    Some(Substrate {
        name: name?,
        white: spectrum,
        condition,
        backing,
        active_black,
        load_limit: load_limit?,
        total_area_coverage_limit: coverage_limit?,
        darkest_reflectance: darkest_reflectance?,
        surface_reflectance: surface_reflectance?,
        trapping: trapping?,
        ramp_law,
        mixed_bands,
        curves,
        primaries: primaries?,
        provenance: provenance?,
    })
}

/// The unprinted sheet.
struct White {
    spectrum: Spectrum,
    condition: MeasurementCondition,
    backing: Backing,
}

fn white(table: &Table) -> Option<White> {
    let white = table.need("white", "write [substrate.white] with its spectrum")?.table()?;
    white.only(&WHITE_KEYS);
    let (condition, backing) = (condition(&white), backing(&white));
    let spectrum = spectrum(&white);
    Some(White { spectrum: spectrum?, condition: condition?, backing: backing? })
}

/// The named black; without a name the only one there is.
fn active_black(table: &Table, outline: &Outline) -> Option<String> {
    let blacks = outline.blacks();
    if let Some(entry) = table.get("active_black") {
        return entry.name_of("a full-strength ink of the family `black`", &blacks);
    }
    match blacks.as_slice() {
        [] => None,
        [only] => Some((*only).to_owned()),
        several => {
            let blacks = several.iter().map(|&name| name.to_owned()).collect();
            table.fault("active_black", Fault::BlackNotChosen { blacks });
            None
        }
    }
}

fn ramp(table: &Table) -> Option<(RampLaw, MixedBands)> {
    let remedy = "write [substrate.ramp] with law and n";
    let ramp = table.need("ramp", remedy)?.table()?;
    ramp.only(&RAMP_KEYS);
    let remedy = "write \"yule-nielsen\", \"kubelka-munk\" or \"kubelka-munk-mixtures\"";
    let law = ramp.need("law", remedy);
    let law = law.and_then(|entry| entry.word(&RAMP_LAWS));
    let n = ramp.quantity(&YULE_NIELSEN, Ok);
    let bands = match ramp.get("bands") {
        None => Some(MixedBands::Spectral),
        Some(entry) => entry.word(&MIXED_BANDS),
    };
    Some((law?(n?), bands?))
}

fn curves(
    table: &Table,
    outline: &Outline,
    bands: MixedBands,
) -> BTreeMap<String, EffectiveCoverageCurve> {
    let mut first_lines = BTreeMap::new();
    let mut curves = BTreeMap::new();
    for curve in table.get("curve").iter().flat_map(|list| list.tables()) {
        curve.only(&CURVE_KEYS);
        let owner = owner(&curve, outline);
        let values = effective_coverage_curve(&curve, bands);
        let Some((key, name)) = owner else { continue };
        let first_line = *first_lines.entry(name.clone()).or_insert(curve.line());
        if first_line != curve.line() {
            let (what, name) = ("a curve of this substrate", name.clone());
            curve.fault(key, FormatFault::Duplicate { what, name, first_line });
        }
        curves.extend(values.map(|values| (name, values)));
    }
    curves
}

/// Whose curve it is: a family's, or a light ink's own; with the key that says so.
fn owner(curve: &Table, outline: &Outline) -> Option<(&'static str, String)> {
    let remedy = "remove it or family: a curve is of one of the two";
    match (curve.get("family"), curve.get("ink")) {
        (Some(_), Some(entry)) => {
            entry.fault(FormatFault::Superfluous { remedy });
            None
        }
        (None, Some(entry)) => Some(("ink", entry.name_of("a light ink", &outline.light_names())?)),
        (Some(entry), None) => {
            Some(("family", entry.name_of("a family", &outline.family_names())?))
        }
        (None, None) => {
            let remedy = "write the family of the curve, or the light ink as `ink`".to_owned();
            curve.fault("family", FormatFault::Missing { remedy });
            None
        }
    }
}

fn effective_coverage_curve(curve: &Table, bands: MixedBands) -> Option<EffectiveCoverageCurve> {
    let nodes = curve.need(CURVE_COVERAGE.key(), "write rising coverages from 0 to 100 %");
    let coverages = nodes.and_then(|entry| {
        let coverages = entry.quantities(&CURVE_COVERAGE, Ok)?;
        Rise::Strict.check(&entry, &coverages)?;
        runs_from_0_to_100(&entry, &coverages)?;
        Some(fractions(&coverages))
    });
    let effective = effective_values(curve, coverages.as_ref().map(Vec::len), bands);
    Some(EffectiveCoverageCurve { coverages: coverages?, effective: effective? })
}

fn effective_values(
    curve: &Table,
    nodes: Option<usize>,
    bands: MixedBands,
) -> Option<EffectiveValues> {
    let per_band = "effective_percent_per_band";
    match (curve.get(CURVE_EFFECTIVE.key()), curve.get(per_band)) {
        (Some(_), Some(entry)) => {
            let remedy = "remove it or effective_percent: one of the two is allowed";
            entry.fault(FormatFault::Superfluous { remedy });
            None
        }
        (None, Some(entry)) => match bands {
            MixedBands::Spectral => {
                values_per_band(&entry, nodes?, "the 36 bands").map(EffectiveValues::PerBand)
            }
            MixedBands::Tristimulus => {
                values_per_band(&entry, nodes?, "X, Y and Z").map(EffectiveValues::PerTristimulus)
            }
        },
        (Some(entry), None) => values_for_all_bands(&entry, nodes?),
        (None, None) => {
            let remedy = format!("write an effective coverage for each coverage, or {per_band}");
            curve.fault(CURVE_EFFECTIVE.key(), FormatFault::Missing { remedy });
            None
        }
    }
}

fn values_for_all_bands(entry: &Entry, nodes: usize) -> Option<EffectiveValues> {
    let values = entry.quantities(&CURVE_EFFECTIVE, Ok)?;
    entry.has_length(values.len(), nodes, "coverage_percent")?;
    Rise::Level.check(entry, &values)?;
    runs_from_0_to_100(entry, &values)?;
    let values = values.into_iter().map(percent(EffectiveCoverage::from_fraction));
    let values: Result<Vec<EffectiveCoverage>, _> = values.collect();
    values.ok().map(EffectiveValues::AllBands)
}

fn values_per_band<const N: usize>(
    entry: &Entry,
    nodes: usize,
    of: &'static str,
) -> Option<Vec<[f64; N]>> {
    let rows = entry.elements()?;
    entry.has_length(rows.len(), nodes, "coverage_percent")?;
    let rows = every(&rows, |row| {
        let values = row.quantities(&CURVE_EFFECTIVE, Ok)?;
        row.has_length(values.len(), N, of)?;
        <[f64; N]>::try_from(fractions(&values)).ok()
    })?;
    for band in 0..N {
        let values: Vec<f64> = rows.iter().map(|row| row[band] * 100.0).collect();
        Rise::Level.check(entry, &values)?;
        runs_from_0_to_100(entry, &values)?;
    }
    Some(rows)
}

fn fractions(percentages: &[f64]) -> Vec<f64> {
    percentages.iter().map(|percent| percent / 100.0).collect()
}

fn primaries(table: &Table, outline: &Outline) -> Option<Vec<MeasuredPrimary>> {
    let patches = table.get("primary").map(|list| list.tables()).unwrap_or_default();
    let read: Vec<Option<MeasuredPrimary>> =
        patches.iter().map(|patch| primary(patch, outline)).collect();
    let primaries: Vec<MeasuredPrimary> = read.into_iter().collect::<Option<_>>()?;
    let mut first_lines = BTreeMap::new();
    for (primary, patch) in primaries.iter().zip(&patches) {
        let first_line = *first_lines.entry(exact(&primary.amounts)).or_insert(patch.line());
        if first_line != patch.line() {
            patch.fault(AMOUNT.key(), Fault::DuplicatePatch { first_line });
        }
    }
    Some(primaries)
}

/// Amounts in a form that can be ordered.
fn exact(amounts: &Coverages) -> Vec<(&str, u64)> {
    let bits = |amount: &Coverage| amount.to_fraction().to_bits();
    amounts.iter().map(|(family, amount)| (family.as_str(), bits(amount))).collect()
}

fn primary(patch: &Table, outline: &Outline) -> Option<MeasuredPrimary> {
    patch.only(&PRIMARY_KEYS);
    let families = outline.family_names();
    let amounts = patch
        .need(AMOUNT.key(), "write the families of the patch, for example { cyan = 100 }")
        .map(|entry| {
            let coverage = percent(Coverage::from_fraction);
            entry.known_quantities(&AMOUNT, "a family", &families, coverage)
        });
    let spectrum = spectrum(patch);
    Some(MeasuredPrimary { amounts: amounts?, spectrum: spectrum? })
}
