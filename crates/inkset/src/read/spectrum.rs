use colour::{BANDS, FIRST_BAND_NM, STEP_NM as BAND_STEP_NM, Spectrum};
use strict_toml::every;

use super::quantity::{FIRST_NM, REFLECTANCE, STEP_NM};
use super::{Entry, Table};
use crate::{Backing, Fault, MeasurementCondition, Remark};

pub(super) const GRID_KEYS: [&str; 3] = ["first_nm", "step_nm", "values"];

/// Optical brighteners shine between about 400 and 500 nm with a peak near 440 nm (common
/// knowledge of the paper trade, no source); one band of margin at the long end.
const BRIGHTENER_NM: std::ops::RangeInclusive<f64> = 400.0..=510.0;

const CONDITIONS: [(&str, MeasurementCondition); 4] = [
    ("M0", MeasurementCondition::M0),
    ("M1", MeasurementCondition::M1),
    ("M2", MeasurementCondition::M2),
    ("M3", MeasurementCondition::M3),
];

const BACKINGS: [(&str, Backing); 3] =
    [("white", Backing::White), ("black", Backing::Black), ("self", Backing::SelfBacking)];

/// The spectrum of a table, as 36 numbers or on a grid of its own.
pub(super) fn spectrum(table: &Table) -> Option<Spectrum> {
    let remedy = "write 36 reflectances for 380 to 730 nm by 10 nm";
    let entry = table.need("spectrum", remedy)?;
    let spectrum = if entry.is_table() { on_own_grid(&entry.table()?) } else { on_bands(&entry) }?;
    remark_on_excess(&entry, &spectrum);
    Some(spectrum)
}

pub(super) fn condition(table: &Table) -> Option<MeasurementCondition> {
    let remedy = "write the measurement condition, for example \"M1\"";
    table.need("condition", remedy)?.word(&CONDITIONS)
}

pub(super) fn backing(table: &Table) -> Option<Backing> {
    let remedy = "write what lay behind the sheet: \"white\", \"black\" or \"self\"";
    table.need("backing", remedy)?.word(&BACKINGS)
}

fn on_bands(entry: &Entry) -> Option<Spectrum> {
    let values = reflectances(entry, FIRST_BAND_NM, BAND_STEP_NM)?;
    let count = values.len();
    let Ok(bands) = <[f64; BANDS]>::try_from(values) else {
        entry.fault(Fault::SpectrumLength { count });
        return None;
    };
    accepted(entry, Spectrum::new(bands))
}

fn on_own_grid(table: &Table) -> Option<Spectrum> {
    table.only(&GRID_KEYS);
    let first = table.quantity(&FIRST_NM, Ok);
    let step = table.quantity(&STEP_NM, Ok);
    let entry = table.need("values", "write the reflectances")?;
    let values = reflectances(&entry, first?, step?)?;
    accepted(&entry, Spectrum::resampled(first?, step?, &values))
}

/// The reflectances of a list; a fault names the wavelength.
fn reflectances(entry: &Entry, first: f64, step: f64) -> Option<Vec<f64>> {
    let mut nanometres = first - step;
    every(&entry.elements()?, |element| {
        nanometres += step;
        reflectance(element, nanometres)
    })
}

fn reflectance(element: &Entry, nanometres: f64) -> Option<f64> {
    let digits = element.digits()?;
    let value = digits.parse().unwrap_or(f64::NAN);
    let is_inside = REFLECTANCE.contains(value);
    if !is_inside {
        element.fault(REFLECTANCE.out_of_range(&at(digits, nanometres)));
    }
    is_inside.then_some(value)
}

fn at(digits: &str, nanometres: f64) -> String {
    format!("{digits} at {nanometres} nm")
}

fn accepted(entry: &Entry, made: Result<Spectrum, colour::ColourError>) -> Option<Spectrum> {
    made.map_err(|refusal| entry.fault(Fault::Spectrum(refusal))).ok()
}

fn remark_on_excess(entry: &Entry, spectrum: &Spectrum) {
    let (band, value) = highest(spectrum);
    let nanometres = Spectrum::nanometres(band);
    if value > 1.0 {
        entry.remark(if BRIGHTENER_NM.contains(&nanometres) {
            Remark::Brightener { value, nanometres }
        } else {
            Remark::MoreThanDiffuser { value, nanometres }
        });
    }
}

fn highest(spectrum: &Spectrum) -> (usize, f64) {
    let bands = spectrum.bands().iter().copied().enumerate();
    bands.max_by(|(_, one), (_, other)| one.total_cmp(other)).unwrap_or((0, 0.0))
}
