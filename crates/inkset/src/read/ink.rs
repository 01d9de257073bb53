use strict_toml::{Prices, percent};
use units::{Coverage, Share, Volume};

use super::Table;
use super::outline::{FULL, Outline};
use super::quantity::{CARTRIDGE, DENSITY, INK_LIMIT};
use super::spectrum::{backing, condition, spectrum};
use crate::{Cartridge, Fault, Ink, Provenance, Solid, SolidSpectrum};

pub(super) const INK_KEYS: [&str; 9] = [
    "name",
    "family",
    "strength",
    "density_percent",
    "solid",
    "limit_percent",
    "cartridge_ml",
    "cartridge_price",
    "provenance",
];
pub(super) const SOLID_KEYS: [&str; 4] = ["printed_on", "condition", "backing", "spectrum"];

const PROVENANCES: [(&str, Provenance); 2] =
    [("measured", Provenance::Measured), ("invented", Provenance::Invented)];

pub(super) fn read_ink(
    table: &Table,
    outline: &Outline,
    prices: &Prices,
    of_set: Option<Provenance>,
) -> Option<Ink> {
    table.only(&INK_KEYS);
    let name = table.need("name", "write a name").and_then(|entry| entry.name());
    let family = table.need("family", "write the hue's family, for example \"cyan\"");
    let family = family.and_then(|entry| entry.name());
    let solid = solid(table, outline);
    let limit = table.quantity(&INK_LIMIT, percent(Coverage::from_fraction));
    let cartridge = cartridge(table, prices);
    let provenance = provenance_or(table, of_set);
    Some(Ink {
        name: name?,
        family: family?,
        solid: solid?,
        limit: limit?,
        cartridge,
        provenance: provenance?,
    })
}

pub(super) fn provenance(table: &Table) -> Option<Provenance> {
    let remedy = "write \"measured\" or \"invented\"";
    table.need("provenance", remedy)?.word(&PROVENANCES)
}

/// The provenance of a part, which is that of the whole unless it states its own.
pub(super) fn provenance_or(table: &Table, of_set: Option<Provenance>) -> Option<Provenance> {
    match table.get("provenance") {
        Some(entry) => entry.word(&PROVENANCES),
        None => of_set,
    }
}

fn solid(table: &Table, outline: &Outline) -> Option<Solid> {
    let remedy = "write \"full\" for the full-strength ink of the family or \"light\"";
    let strength = table.need("strength", remedy);
    let is_full = strength.and_then(|entry| entry.word(&[(FULL, true), ("light", false)]));
    let density = table.optional_quantity(&DENSITY, percent(Share::from_fraction));
    let entry = table.get("solid");
    let has_solid = entry.is_some();
    let measured =
        entry.and_then(|entry| entry.table()).and_then(|solid| solid_spectrum(&solid, outline));
    if is_full? { full(table, measured, has_solid) } else { light(table, measured, density) }
}

fn full(table: &Table, measured: Option<SolidSpectrum>, has_solid: bool) -> Option<Solid> {
    if table.get("density_percent").is_some() {
        table.fault("density_percent", Fault::StrengthOfFull);
    }
    if !has_solid {
        table.fault("solid", Fault::SolidNotKnown);
    }
    measured.map(Solid::Full)
}

fn light(
    table: &Table,
    measured: Option<SolidSpectrum>,
    stated_strength: Option<Share>,
) -> Option<Solid> {
    match (measured, stated_strength) {
        (Some(solid), stated_strength) => Some(Solid::LightBySpectrum { solid, stated_strength }),
        (None, Some(strength)) => Some(Solid::LightByStrength(strength)),
        (None, None) => {
            if table.get("solid").is_none() && table.get("density_percent").is_none() {
                table.fault("strength", Fault::StrengthNotKnown);
            }
            None
        }
    }
}

fn solid_spectrum(table: &Table, outline: &Outline) -> Option<SolidSpectrum> {
    table.only(&SOLID_KEYS);
    let printed_on = table
        .need("printed_on", "write the substrate of the measured solid")
        .and_then(|entry| entry.name_of("a substrate", &outline.substrate_names()));
    let condition = condition(table);
    let backing = backing(table);
    let spectrum = spectrum(table);
    Some(SolidSpectrum {
        spectrum: spectrum?,
        condition: condition?,
        backing: backing?,
        printed_on: printed_on?,
    })
}

fn cartridge(table: &Table, prices: &Prices) -> Option<Cartridge> {
    let price = prices.price(table, "cartridge_price");
    if table.get("cartridge_price").is_some() {
        table.need(CARTRIDGE.key(), "write the ink that the price buys, in millilitres");
    }
    let size = table.optional_quantity(&CARTRIDGE, Volume::from_millilitres)?;
    Some(Cartridge { size, price })
}
