use colour::{BANDS, Spectrum};
use inkset::{Ink, InkSet, Solid, SolidSpectrum, Substrate};
use units::Reflectance;

use crate::PrintModelError;
use crate::kubelka_munk::Inner;

/// The reflectance of every ink's solid on one substrate, by channel.
///
/// A solid that was printed on another substrate of the set is carried over by its Kubelka–Munk
/// ratio relative to the paper it was printed on. A light ink of which only the strength is
/// known has that share of the full-strength ink's density relative to the paper, above the
/// surface reflectance: scaling K/S instead turns a sixth-strength grey far too dark.
pub(crate) fn solids_on(
    set: &InkSet,
    substrate: &Substrate,
) -> Result<Vec<Spectrum>, PrintModelError> {
    set.inks.iter().map(|ink| solid_on(set, substrate, ink)).collect()
}

fn solid_on(set: &InkSet, substrate: &Substrate, ink: &Ink) -> Result<Spectrum, PrintModelError> {
    match &ink.solid {
        Solid::Full(solid) | Solid::LightBySpectrum { solid, .. } => {
            carried_over(set, substrate, ink, solid)
        }
        Solid::LightByStrength(strength) => {
            let full = solid_on(set, substrate, full_strength(set, substrate, &ink.family)?)?;
            Ok(diluted(substrate, &full, strength.to_fraction()))
        }
    }
}

/// The full-strength ink of a family that the substrate uses.
fn full_strength<'set>(
    set: &'set InkSet,
    substrate: &Substrate,
    family: &str,
) -> Result<&'set Ink, PrintModelError> {
    set.inks
        .iter()
        .find(|ink| ink.family == family && ink.is_full_strength() && !set.is_idle(ink, substrate))
        .ok_or_else(|| PrintModelError::NoFullStrength {
            family: family.to_owned(),
            substrate: substrate.name.clone(),
        })
}

fn carried_over(
    set: &InkSet,
    substrate: &Substrate,
    ink: &Ink,
    solid: &SolidSpectrum,
) -> Result<Spectrum, PrintModelError> {
    if solid.printed_on == substrate.name {
        return Ok(solid.spectrum);
    }
    let origin =
        set.substrates.iter().find(|candidate| candidate.name == solid.printed_on).ok_or_else(
            || PrintModelError::UnknownSubstrate {
                ink: ink.name.clone(),
                substrate: solid.printed_on.clone(),
            },
        )?;
    Ok(by_band(|band| {
        let ratio = inner_of(origin, band).ratio(solid.spectrum.bands()[band]);
        inner_of(substrate, band).reflectance(ratio)
    }))
}

/// Beer–Lambert dilution between paper and surface: relative density times `strength`.
fn diluted(substrate: &Substrate, full: &Spectrum, strength: f64) -> Spectrum {
    let surface = substrate.surface_reflectance.to_unit();
    by_band(|band| {
        let paper = substrate.white.bands()[band];
        let range = (paper - surface).max(f64::MIN_POSITIVE);
        let inside = ((full.bands()[band] - surface) / range).max(0.0);
        surface + range * inside.powf(strength)
    })
}

/// The reflectances between paper and darkest mixture in one band of a substrate.
pub(crate) fn inner_of(substrate: &Substrate, band: usize) -> Inner {
    Inner::new(substrate.white.bands()[band], substrate.darkest_reflectance.to_unit())
}

/// Makes a spectrum of 36 values that lie between reflectances of the set by construction.
pub(crate) fn by_band(value: impl FnMut(usize) -> f64) -> Spectrum {
    let bands: [f64; BANDS] = std::array::from_fn(value);
    Spectrum::new(bands.map(|r| r.clamp(0.0, Reflectance::MAX.to_unit())))
        .unwrap_or(Spectrum::PERFECT_DIFFUSER)
}
