use colour::Spectrum;

use super::Table;
use super::outline::Outline;
use crate::{Fault, Ink, InkSet, Remark, Solid, Substrate};

/// How far a stated strength may lie from the measured one, as a share of the larger.
///
/// Our choice, because two instruments read the density of a light solid a few percent apart,
/// and the ratio of two solids differs as much between neighbouring bands.
const STRENGTH_TOLERANCE: f64 = 0.15;

/// The checks that need an ink and its substrate, or two inks, at once.
pub(super) fn check_together(set: &InkSet, outline: &Outline) {
    for (substrate, table) in set.substrates.iter().zip(&outline.substrates) {
        check_substrate(substrate, table);
    }
    let solids = set.inks.iter().zip(&outline.inks);
    let sound: Vec<bool> = solids.map(|(ink, table)| is_solid_sound(set, ink, table)).collect();
    if sound.iter().all(|&sound| sound) {
        for (ink, table) in set.inks.iter().zip(&outline.inks) {
            check_strength(set, ink, table);
        }
    }
}

fn check_substrate(substrate: &Substrate, table: &Table) {
    let darkest = substrate.darkest_reflectance.to_unit();
    let surface = substrate.surface_reflectance.to_unit();
    if darkest < surface {
        let fault = Fault::DarkerThanSurface { darkest, surface };
        table.fault("darkest_reflectance", fault);
    }
    if let Some(fault) = darker_than_sheet(&substrate.white, substrate) {
        table.fault("white", fault);
    }
    let patches = table.get("primary").map(|list| list.tables());
    for (primary, patch) in substrate.primaries.iter().zip(patches.unwrap_or_default()) {
        if let Some(fault) = darker_than_sheet(&primary.spectrum, substrate) {
            patch.fault("spectrum", fault);
        }
    }
}

/// Whether a solid lies between the sheet's darkest and its white; a fault if not.
fn is_solid_sound(set: &InkSet, ink: &Ink, table: &Table) -> bool {
    let solid = ink.solid_spectrum();
    let Some((solid, sheet)) = solid.and_then(|solid| Some((solid, set.sheet_of(solid)?))) else {
        return true;
    };
    let fault = darker_than_sheet(&solid.spectrum, sheet).or_else(|| {
        let absorbs = !ink.is_full_strength() || set.absorbs(solid);
        let substrate = sheet.name.clone();
        (!absorbs).then_some(Fault::NoAbsorption { substrate })
    });
    let is_sound = fault.is_none();
    if let Some(fault) = fault {
        table.fault("solid", fault);
    }
    is_sound
}

/// A spectrum must rise above the surface, and not lie below the darkest that the sheet shows.
fn darker_than_sheet(spectrum: &Spectrum, sheet: &Substrate) -> Option<Fault> {
    let surface = sheet.surface_reflectance.to_unit();
    let darkest = sheet.darkest_reflectance.to_unit();
    let (band, value) = lowest(spectrum);
    let (low, limit) = if value <= surface {
        (surface, "surface_reflectance")
    } else if value < darkest {
        (darkest, "darkest_reflectance")
    } else {
        return None;
    };
    Some(Fault::DarkerThanSheet {
        value,
        nanometres: Spectrum::nanometres(band),
        low,
        limit,
        substrate: sheet.name.clone(),
    })
}

fn lowest(spectrum: &Spectrum) -> (usize, f64) {
    let bands = spectrum.bands().iter().copied().enumerate();
    bands.min_by(|(_, one), (_, other)| one.total_cmp(other)).unwrap_or((0, 0.0))
}

/// A light ink must be lighter than the full-strength one, and as light as it is said to be.
fn check_strength(set: &InkSet, ink: &Ink, table: &Table) {
    let Solid::LightBySpectrum { solid, stated_strength } = &ink.solid else {
        return;
    };
    let Some(full) = set.full_strength_of(&ink.family, set.sheet_of(solid)) else {
        return;
    };
    let measured = set.strength(ink, full);
    if !(measured > 0.0 && measured < 1.0) {
        let (percent, full) = (measured * 100.0, full.name.clone());
        table.fault("solid", Fault::LightTooStrong { percent, full });
        return;
    }
    let stated = stated_strength.map(units::Share::to_fraction);
    let disagrees =
        |stated: &f64| (stated - measured).abs() > STRENGTH_TOLERANCE * stated.max(measured);
    if let (Some(stated), Some(entry)) = (stated.filter(disagrees), table.get("density_percent")) {
        entry.remark(Remark::StrengthDisagrees {
            stated: stated * 100.0,
            measured: measured * 100.0,
            tolerance: STRENGTH_TOLERANCE * 100.0,
        });
    }
}
