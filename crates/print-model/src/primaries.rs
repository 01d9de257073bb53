use colour::{BANDS, Spectrum};
use inkset::{Family, MeasuredPrimary, Substrate};

use crate::PrintModelError;
use crate::solids::{by_band, inner_of};

/// The reflectance of the 2^F overprints; bit f of the index says whether family f is present.
///
/// Measured overprints are used where the substrate has them, the others predicted by adding
/// the solids' Kubelka–Munk ratios in the device's order, later ones times the trapping.
pub(crate) fn primaries(
    substrate: &Substrate,
    families: &[Family<'_>],
    solids: &[Spectrum],
) -> Result<Vec<Spectrum>, PrintModelError> {
    let mut overprints: Vec<Spectrum> =
        (0..1_usize << families.len()).map(|index| overprint(substrate, solids, index)).collect();
    for measured in &substrate.primaries {
        if let Some(index) = index_of(measured, families)? {
            overprints[index] = measured.spectrum;
        }
    }
    Ok(overprints)
}

/// Predicts one overprint of the families' solids.
fn overprint(substrate: &Substrate, solids: &[Spectrum], index: usize) -> Spectrum {
    let present: Vec<&Spectrum> = solids
        .iter()
        .enumerate()
        .filter(|(family, _)| index >> family & 1 == 1)
        .map(|(_, solid)| solid)
        .collect();
    match present[..] {
        [] => substrate.white,
        [alone] => *alone,
        [first, ref later @ ..] => by_band(|band| {
            let inner = inner_of(substrate, band);
            let over: f64 = later.iter().map(|solid| inner.ratio(solid.bands()[band])).sum();
            let under = inner.ratio(first.bands()[band]);
            inner.reflectance(under + substrate.trapping.to_fraction() * over)
        }),
    }
}

/// Which overprint a measured patch is; `None` when it uses a family that the substrate idles.
fn index_of(
    measured: &MeasuredPrimary,
    families: &[Family<'_>],
) -> Result<Option<usize>, PrintModelError> {
    let mut index = 0;
    for (name, amount) in &measured.amounts {
        let place = families.iter().position(|family| family.name == name);
        match (amount.to_fraction(), place) {
            (0.0, _) => {}
            (1.0, Some(place)) => index |= 1 << place,
            (1.0, None) => return Ok(None),
            (partial, _) => {
                return Err(PrintModelError::PartialPrimary {
                    family: name.clone(),
                    percent: 100.0 * partial,
                });
            }
        }
    }
    Ok(Some(index))
}

/// Overprints in the compressed form in which the model mixes them.
pub(crate) fn compressed(primaries: &[Spectrum], n: f64) -> Vec<[f64; BANDS]> {
    primaries
        .iter()
        .map(|primary| primary.bands().map(|r| crate::yule_nielsen::compress(r, n)))
        .collect()
}
