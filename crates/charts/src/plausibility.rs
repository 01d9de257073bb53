use colour::{FIRST_BAND_NM, LAST_BAND_NM, delta_e_00};

use crate::layout::Layout;
use crate::log::Log;
use crate::measurement::lab_of;
use crate::row_numbers::Numbers;
use crate::table::Table;
use crate::{ChartFault, ChartRemark, Measured, Patch};

/// Brightness in percent that the brightest patch of a chart must reach. Our choice: no paper that
/// is printed with pictures is darker, and a slipped scale makes all patches so.
const LEAST_PAPER: f64 = 20.0;
const HIGHEST_REFLECTANCE: f64 = units::Reflectance::MAX.to_unit();

/// What reflectances are divided by to lie between 0 and 1.
pub(crate) fn scale(layout: &Layout, rows: &[Numbers], line: usize, log: &mut Log) -> Option<f64> {
    let highest = |of: &dyn Fn(&Numbers) -> f64| rows.iter().map(of).fold(0.0, f64::max);
    let device = highest(&|row| {
        row.device.iter().map(|value| 100.0 * value.to_fraction()).fold(0.0, f64::max)
    });
    if !layout.device_cells.is_empty() && device > 0.0 && device <= 1.0 {
        let remedy = "device values are percentages, so multiply them by 100";
        let (what, low, high) = ("device values", 1.0, 100.0);
        log.fault(line, ChartFault::WrongScale { what, highest: device, low, high, remedy });
    }
    let reflectance = highest(&|row| row.reflectances.iter().copied().fold(0.0, f64::max));
    let scale = if reflectance > HIGHEST_REFLECTANCE { 100.0 } else { 1.0 };
    let (what, brightest, remedy) = match layout.measured {
        Measured::Spectra => (
            "reflectances",
            100.0 * reflectance / scale,
            "write them from 0 to 1 or in percent, the paper included",
        ),
        Measured::Tristimulus => (
            "tristimulus values Y",
            highest(&|row| row.xyz.map_or(0.0, |xyz| xyz[1])),
            "write them for a perfect diffuser of 100, the paper included",
        ),
        Measured::Cielab => (
            "lightnesses L*",
            highest(&|row| row.lab.map_or(0.0, |lab| lab[0])),
            "write L* from 0 to 100, the paper included",
        ),
    };
    let (low, high) = (LEAST_PAPER, 100.0 * HIGHEST_REFLECTANCE);
    if !(low..=high).contains(&brightest) {
        log.fault(line, ChartFault::WrongScale { what, highest: brightest, low, high, remedy });
    }
    log.is_clean().then_some(scale)
}

/// Says how many reflectances below zero were taken as 0.
pub(crate) fn remark_on_negatives(rows: &[Numbers], scale: f64, line: usize, log: &mut Log) {
    let below: Vec<f64> = rows
        .iter()
        .flat_map(|row| &row.reflectances)
        .map(|r| r / scale)
        .filter(|r| *r < 0.0)
        .collect();
    if !below.is_empty() {
        let lowest = below.iter().copied().fold(0.0, f64::min);
        log.remark(line, ChartRemark::NegativeReflectances { count: below.len(), lowest });
    }
}

/// Median ΔE00 above which a file's CIELAB is taken to be of another white or light. Our choice:
/// the same reading in two forms differs by rounding and by the way of summing, below 0.3.
const SAME_CIELAB: f64 = 1.0;
/// ΔE00 by which a row's two readings contradict each other where other rows' agree.
const CONTRADICTION: f64 = 2.0;

/// Holds CIELAB against what is used in its place: a row that was edited or swapped shows there.
pub(crate) fn compare_with_cielab(
    patches: &mut [Patch],
    rows: &[Numbers],
    measured: Measured,
    line: usize,
    log: &mut Log,
) {
    let used = match measured {
        Measured::Spectra => "the spectra",
        Measured::Tristimulus => "XYZ",
        Measured::Cielab => return,
    };
    let differences: Vec<f64> = patches
        .iter()
        .zip(rows)
        .filter_map(|(patch, row)| Some(delta_e_00(patch.measurement.lab(), lab_of(row.lab?))))
        .collect();
    if differences.len() != patches.len() {
        return;
    }
    let mut sorted = differences.clone();
    sorted.sort_by(f64::total_cmp);
    let median = sorted[sorted.len() / 2];
    if median > SAME_CIELAB {
        log.remark(line, ChartRemark::OtherCielab { used, median });
        return;
    }
    for (patch, difference) in patches.iter_mut().zip(differences) {
        patch.contradiction = (difference > CONTRADICTION).then_some(difference);
    }
}

/// Says so where spectra are narrower than the bands.
pub(crate) fn remark_on_narrow_spectra(rows: &[Numbers], line: usize, log: &mut Log) {
    let Some(row) = rows.iter().find(|row| !row.reflectances.is_empty()) else { return };
    #[expect(clippy::cast_precision_loss, reason = "spectra have far fewer than 2^52 samples")]
    let last = row.first_nm + row.step_nm * (row.reflectances.len() - 1) as f64;
    if row.first_nm > FIRST_BAND_NM || last < LAST_BAND_NM - 1e-6 {
        log.remark(line, ChartRemark::NarrowSpectra { first: row.first_nm, last });
    }
}

/// Colours that were computed for another light or observer can't be used; spectra can.
pub(crate) fn refuse_other_light(table: &Table, layout: &Layout, log: &mut Log) {
    if layout.measured == Measured::Spectra {
        return;
    }
    for keyword in &table.keywords {
        let name = keyword.name.to_ascii_uppercase();
        let value = keyword.value.to_ascii_uppercase();
        let of_light = name == "ILLUMINANT" || value.starts_with("ILLUMINANT");
        let of_observer = name == "OBSERVER" || value.starts_with("OBSERVER");
        let wanted = if of_light && !value.contains("D50") {
            "D50"
        } else if of_observer && (value.contains("10") || value.contains("1964")) {
            "the CIE 1931 2° observer"
        } else {
            continue;
        };
        let fault = ChartFault::OtherLight {
            keyword: keyword.name.clone(),
            value: keyword.value.clone(),
            wanted,
        };
        log.fault(keyword.line, fault);
    }
}
