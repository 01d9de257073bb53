use std::collections::BTreeMap;
use std::path::PathBuf;

use strict_toml::percent;
use units::{Coverage, Share};

use super::Table;
use super::outline::Outline;
use super::quantity::{BLACK_CURVE, BLACK_REPLACEMENT, BLACK_START, CROSSOVER, FAMILY_LIMIT};
use crate::{BuiltSeparation, Fault, SeparationDefaults};

pub(super) const SEPARATION_KEYS: [&str; 6] = [
    "output_profile",
    "black_replacement_percent",
    "black_start_lightness",
    "black_curve_exponent",
    "crossover_percent",
    "family_limit_percent",
];

pub(super) fn read_separation(table: &Table, outline: &Outline) -> Option<SeparationDefaults> {
    table.only(&SEPARATION_KEYS);
    match table.get("output_profile") {
        Some(profile) => {
            refuse_built_settings(table);
            let path = PathBuf::from(profile.text()?);
            Some(SeparationDefaults::OutputProfile(path))
        }
        None => built(table, outline).map(SeparationDefaults::Built),
    }
}

fn refuse_built_settings(table: &Table) {
    for (key, entry) in table.each() {
        if key != "output_profile" && SEPARATION_KEYS.contains(&key) {
            entry.fault(Fault::BothSeparations);
        }
    }
}

fn built(table: &Table, outline: &Outline) -> Option<BuiltSeparation> {
    let black_replacement = table.quantity(&BLACK_REPLACEMENT, percent(Share::from_fraction));
    let black_start = table.quantity(&BLACK_START, Ok);
    let black_curve = table.quantity(&BLACK_CURVE, Ok);
    let crossover = crossover(table, outline);
    let family_limits = family_limits(table, outline);
    Some(BuiltSeparation {
        black_replacement: black_replacement?,
        black_start: black_start?,
        black_curve: black_curve?,
        crossover,
        family_limits,
    })
}

fn crossover(table: &Table, outline: &Outline) -> BTreeMap<String, Coverage> {
    let Some(entry) = table.get(CROSSOVER.key()) else {
        return BTreeMap::new();
    };
    let (inks, full) = (outline.ink_names(), outline.full_strength_names());
    for (ink, entry) in entry.table().iter().flat_map(Table::each) {
        if entry.is_known(ink, "an ink", &inks) && full.contains(&ink) {
            let ink = ink.to_owned();
            entry.fault(Fault::CrossoverOfFull { ink });
        }
    }
    entry.named_quantities(&CROSSOVER, percent(Coverage::from_fraction))
}

fn family_limits(table: &Table, outline: &Outline) -> BTreeMap<String, Coverage> {
    let Some(entry) = table.get(FAMILY_LIMIT.key()) else {
        return BTreeMap::new();
    };
    let families = outline.family_names();
    entry.known_quantities(&FAMILY_LIMIT, "a family", &families, percent(Coverage::from_fraction))
}
