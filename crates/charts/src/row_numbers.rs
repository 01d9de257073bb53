use units::DeviceValue;

use crate::ChartFault;
use crate::log::Log;
use crate::number::number;
use crate::table::Row;

/// The numbers of one row, in the scale of the file.
pub(crate) struct Numbers {
    pub(crate) line: usize,
    pub(crate) name: String,
    pub(crate) device: Vec<DeviceValue>,
    pub(crate) xyz: Option<[f64; 3]>,
    pub(crate) lab: Option<[f64; 3]>,
    /// By rising wavelength.
    pub(crate) reflectances: Vec<f64>,
    pub(crate) first_nm: f64,
    pub(crate) step_nm: f64,
}

/// Allowed ranges, wide: they catch slips. Sources are the definitions of the quantities.
pub(crate) type Range = [f64; 2];
pub(crate) const DEVICE: Range = [0.0, 100.0];
pub(crate) const XYZ: Range = [0.0, 130.0];
pub(crate) const LIGHTNESS: Range = [0.0, 115.0];
pub(crate) const OPPONENT: Range = [-200.0, 200.0];
/// In the scale of the file: percent at the widest. Below zero instruments read noise.
pub(crate) const REFLECTANCE: Range = [-1.0, 130.0];
pub(crate) const WAVELENGTH: Range = [200.0, 1200.0];
/// Reflectances this far below zero are noise; our choice, twice the repeatability of instruments.
pub(crate) const NOISE: f64 = -0.01;

/// Reads the numbers of one row.
pub(crate) struct RowReader<'a> {
    pub(crate) row: &'a Row,
    pub(crate) name: &'a str,
    pub(crate) columns: &'a [String],
    pub(crate) log: &'a mut Log,
}

impl RowReader<'_> {
    pub(crate) fn number(&mut self, cell: usize, [low, high]: Range) -> Option<f64> {
        let text = &self.row.cells[cell];
        let (column, sample) = (self.columns[cell].clone(), self.name.to_owned());
        let Some(value) = number(text) else {
            let range = format!(" from {low} to {high}");
            let value = text.clone();
            self.log.fault(self.row.line, ChartFault::NotANumber { column, sample, value, range });
            return None;
        };
        if !(low..=high).contains(&value) {
            self.log
                .fault(self.row.line, ChartFault::OutOfRange { column, sample, value, low, high });
            return None;
        }
        Some(value)
    }

    /// All numbers are read, so that all faults are found.
    pub(crate) fn all(&mut self, cells: &[usize], range: Range) -> Option<Vec<f64>> {
        let read: Vec<Option<f64>> = cells.iter().map(|&cell| self.number(cell, range)).collect();
        read.into_iter().collect()
    }

    pub(crate) fn three(&mut self, cells: [usize; 3], range: Range) -> Option<[f64; 3]> {
        self.three_of(cells, [range; 3])
    }

    pub(crate) fn three_of(&mut self, cells: [usize; 3], ranges: [Range; 3]) -> Option<[f64; 3]> {
        let read = [0, 1, 2].map(|axis| self.number(cells[axis], ranges[axis]));
        Some([read[0]?, read[1]?, read[2]?])
    }
}

/// A value that may be absent, but not at fault.
pub(crate) fn option_of<T>(read: Option<Option<T>>) -> Option<Option<T>> {
    match read {
        None => Some(None),
        Some(Some(value)) => Some(Some(value)),
        Some(None) => None,
    }
}

pub(crate) fn device_value(percent: f64) -> Option<DeviceValue> {
    DeviceValue::from_fraction(percent / 100.0).ok()
}

/// The wavelengths' beginning and step.
pub(crate) fn even_grid(cells: &[(f64, usize)], line: usize, log: &mut Log) -> Option<(f64, f64)> {
    /// Wavelengths are whole nanometres or a decimal of them.
    const ROUNDING_NM: f64 = 0.11;
    let (first, last) = (cells[0].0, cells[cells.len() - 1].0);
    #[expect(clippy::cast_precision_loss, reason = "spectra have far fewer than 2^52 samples")]
    let step = (last - first) / (cells.len() - 1).max(1) as f64;
    for pair in cells.windows(2) {
        let (before, after) = (pair[0].0, pair[1].0);
        if (after - before - step).abs() > ROUNDING_NM || step <= 0.0 {
            log.fault(line, ChartFault::UnevenWavelengths { before, after, step });
            return None;
        }
    }
    Some((first, step))
}
