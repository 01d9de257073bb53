use colour::{
    ColourError, FIRST_BAND_NM, Illuminant, LAST_BAND_NM, Lab, Spectrum, Xyz, delta_e_00,
};
use units::DeviceValue;

use crate::column::{Column, Device, column};
use crate::duplicates::refuse_contradictions;
use crate::log::Log;
use crate::number::number;
use crate::sample_names::step;
use crate::table::{Row, Table};
use crate::{Chart, ChartFault, ChartRemark, Measured, Measurement, Patch, SampleNames, record};

/// The most patches; our choice, far above any chart.
const MOST_PATCHES: usize = 100_000;

/// Understands the columns of a table and reads its rows.
pub(crate) fn chart(table: &Table, names: &SampleNames, log: &mut Log) -> Option<Chart> {
    let layout = Layout::of(table, names, log)?;
    refuse_other_light(table, &layout, log);
    if table.rows.is_empty() || table.rows.len() > MOST_PATCHES {
        log.fault(table.columns_line, ChartFault::NoPatches);
    }
    let numbers: Vec<Option<Numbers>> =
        table.rows.iter().map(|row| layout.numbers(row, names, log)).collect();
    let numbers: Vec<Numbers> = numbers.into_iter().collect::<Option<_>>()?;
    let scale = layout.scale(&numbers, table.columns_line, log)?;
    let mut patches: Vec<Patch> =
        numbers.iter().filter_map(|numbers| patch(numbers, &layout, scale, log)).collect();
    remark_on_narrow_spectra(&numbers, table.columns_line, log);
    remark_on_negatives(&numbers, scale, table.columns_line, log);
    if !log.is_clean() {
        return None;
    }
    compare_with_cielab(&mut patches, &numbers, layout.measured, table.columns_line, log);
    refuse_contradictions(&patches, table.columns_line, log);
    let condition = record::condition(table);
    if condition.is_none() && layout.measured == Measured::Spectra {
        log.remark(1, ChartRemark::ConditionNotStated);
    }
    Some(Chart {
        form: table.form.clone(),
        title: record::title(table),
        channels: if table.inks.is_empty() { layout.channels(names) } else { table.inks.clone() },
        measured: layout.measured,
        condition,
        backing: record::backing(table),
        patches,
        notices: Vec::new(),
    })
}

/// Which cell holds what.
struct Layout {
    sample: Option<usize>,
    device: Option<Device>,
    /// Cells of the device values, channel by channel.
    device_cells: Vec<usize>,
    xyz: Option<[usize; 3]>,
    lab: Option<[usize; 3]>,
    /// Cells of the reflectances by rising wavelength.
    reflectances: Vec<(f64, usize)>,
    /// Cells of wavelengths and of the reflectances that follow them.
    pairs: Vec<(usize, usize)>,
    measured: Measured,
    columns: Vec<String>,
}

/// The numbers of one row, in the scale of the file.
struct Numbers {
    line: usize,
    name: String,
    device: Vec<DeviceValue>,
    xyz: Option<[f64; 3]>,
    lab: Option<[f64; 3]>,
    /// By rising wavelength.
    reflectances: Vec<f64>,
    first_nm: f64,
    step_nm: f64,
}

impl Layout {
    fn of(table: &Table, names: &SampleNames, log: &mut Log) -> Option<Self> {
        let kinds: Vec<Column> = table.columns.iter().map(|name| column(name)).collect();
        let line = table.columns_line;
        refuse_repeated(table, &kinds, log);
        let device = device(&kinds, line, log);
        let triple = |group: &str, of: fn(usize) -> Column, names: [&str; 3], log: &mut Log| {
            let cells = [0, 1, 2].map(|axis| kinds.iter().position(|kind| *kind == of(axis)));
            complete(group, cells, names, line, log)
        };
        let xyz = triple("XYZ", Column::Xyz, ["XYZ_X", "XYZ_Y", "XYZ_Z"], log);
        let lab = triple("CIELAB", Column::Lab, ["LAB_L", "LAB_A", "LAB_B"], log);
        let reflectances = reflectances(&kinds);
        let pairs = pairs(&kinds, line, log);
        let measured = match (reflectances.is_empty() && pairs.is_empty(), xyz, lab) {
            (false, ..) => Measured::Spectra,
            (true, Some(_), _) => Measured::Tristimulus,
            (true, None, Some(_)) => Measured::Cielab,
            (true, None, None) => {
                log.fault(line, ChartFault::NothingMeasured);
                return None;
            }
        };
        refuse_both_sources(device.as_ref(), names, line, log);
        remark_on_unused(table, &kinds, log);
        let device_cells =
            device.as_ref().map_or_else(Vec::new, |device| device_cells(&kinds, device, line, log));
        log.is_clean().then_some(Self {
            sample: sample(table, &kinds),
            device,
            device_cells,
            xyz,
            lab,
            reflectances,
            pairs,
            measured,
            columns: table.columns.clone(),
        })
    }

    fn channels(&self, names: &SampleNames) -> Vec<String> {
        match (&self.device, names) {
            (Some(device), _) => (0..device.channels()).map(|c| device.channel_name(c)).collect(),
            (None, SampleNames::StepsOf { ink }) => vec![ink.clone()],
            (None, SampleNames::Labels) => Vec::new(),
        }
    }

    /// All numbers of a row, or `None` where one is at fault.
    fn numbers(&self, row: &Row, names: &SampleNames, log: &mut Log) -> Option<Numbers> {
        if row.cells.len() != self.columns.len() {
            return None;
        }
        let name = self.sample.map_or_else(|| row.line.to_string(), |cell| row.cells[cell].clone());
        let mut reader = RowReader { row, name: &name, columns: &self.columns, log };
        let device: Option<Vec<f64>> = reader.all(&self.device_cells, DEVICE);
        let xyz = self.xyz.map(|cells| reader.three(cells, XYZ));
        let lab = [LIGHTNESS, OPPONENT, OPPONENT];
        let lab = self.lab.map(|cells| reader.three_of(cells, lab));
        let grid = self.grid(&mut reader);
        let device = match (names, self.device.is_some()) {
            (SampleNames::StepsOf { .. }, false) => match step(&name) {
                Ok(step) => Some(vec![step]),
                Err(fault) => {
                    log.fault(row.line, fault);
                    None
                }
            },
            _ => device
                .map(|values| values.iter().filter_map(|value| device_value(*value)).collect()),
        };
        let (first_nm, step_nm, reflectances) = grid?;
        Some(Numbers {
            line: row.line,
            name,
            device: device?,
            xyz: option_of(xyz)?,
            lab: option_of(lab)?,
            reflectances,
            first_nm,
            step_nm,
        })
    }

    /// The wavelengths' beginning and step, and the reflectances.
    fn grid(&self, reader: &mut RowReader<'_>) -> Option<(f64, f64, Vec<f64>)> {
        let paired: Option<Vec<(f64, usize)>> = self
            .pairs
            .iter()
            .map(|&(wavelength, value)| Some((reader.number(wavelength, WAVELENGTH)?, value)))
            .collect();
        let mut cells = self.reflectances.clone();
        cells.extend(paired?);
        cells.sort_by(|one, other| one.0.total_cmp(&other.0));
        if cells.is_empty() {
            return Some((0.0, 0.0, Vec::new()));
        }
        let (first, step) = even_grid(&cells, reader.row.line, reader.log)?;
        let places: Vec<usize> = cells.iter().map(|&(_, cell)| cell).collect();
        Some((first, step, reader.all(&places, REFLECTANCE)?))
    }

    /// What reflectances are divided by to lie between 0 and 1.
    fn scale(&self, rows: &[Numbers], line: usize, log: &mut Log) -> Option<f64> {
        let highest = |of: &dyn Fn(&Numbers) -> f64| rows.iter().map(of).fold(0.0, f64::max);
        let device = highest(&|row| {
            row.device.iter().map(|value| 100.0 * value.to_fraction()).fold(0.0, f64::max)
        });
        if !self.device_cells.is_empty() && device > 0.0 && device <= 1.0 {
            let remedy = "device values are percentages, so multiply them by 100";
            let (what, low, high) = ("device values", 1.0, 100.0);
            log.fault(line, ChartFault::WrongScale { what, highest: device, low, high, remedy });
        }
        let reflectance = highest(&|row| row.reflectances.iter().copied().fold(0.0, f64::max));
        let scale = if reflectance > HIGHEST_REFLECTANCE { 100.0 } else { 1.0 };
        let (what, brightest, remedy) = match self.measured {
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
}

/// Brightness in percent that the brightest patch of a chart must reach. Our choice: no paper that
/// is printed with pictures is darker, and a slipped scale makes all patches so.
const LEAST_PAPER: f64 = 20.0;
const HIGHEST_REFLECTANCE: f64 = units::Reflectance::MAX.to_unit();

/// Allowed ranges, wide: they catch slips. Sources are the definitions of the quantities.
type Range = [f64; 2];
const DEVICE: Range = [0.0, 100.0];
const XYZ: Range = [0.0, 130.0];
const LIGHTNESS: Range = [0.0, 115.0];
const OPPONENT: Range = [-200.0, 200.0];
/// In the scale of the file: percent at the widest. Below zero instruments read noise.
const REFLECTANCE: Range = [-1.0, 130.0];
const WAVELENGTH: Range = [200.0, 1200.0];
/// Reflectances this far below zero are noise; our choice, twice the repeatability of instruments.
const NOISE: f64 = -0.01;

/// Reads the numbers of one row.
struct RowReader<'a> {
    row: &'a Row,
    name: &'a str,
    columns: &'a [String],
    log: &'a mut Log,
}

impl RowReader<'_> {
    fn number(&mut self, cell: usize, [low, high]: Range) -> Option<f64> {
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
    fn all(&mut self, cells: &[usize], range: Range) -> Option<Vec<f64>> {
        let read: Vec<Option<f64>> = cells.iter().map(|&cell| self.number(cell, range)).collect();
        read.into_iter().collect()
    }

    fn three(&mut self, cells: [usize; 3], range: Range) -> Option<[f64; 3]> {
        self.three_of(cells, [range; 3])
    }

    fn three_of(&mut self, cells: [usize; 3], ranges: [Range; 3]) -> Option<[f64; 3]> {
        let read = [0, 1, 2].map(|axis| self.number(cells[axis], ranges[axis]));
        Some([read[0]?, read[1]?, read[2]?])
    }
}

/// A value that may be absent, but not at fault.
fn option_of<T>(read: Option<Option<T>>) -> Option<Option<T>> {
    match read {
        None => Some(None),
        Some(Some(value)) => Some(Some(value)),
        Some(None) => None,
    }
}

fn device_value(percent: f64) -> Option<DeviceValue> {
    DeviceValue::from_fraction(percent / 100.0).ok()
}

fn patch(numbers: &Numbers, layout: &Layout, scale: f64, log: &mut Log) -> Option<Patch> {
    let measurement = match layout.measured {
        Measured::Spectra => {
            let unit: Vec<f64> = numbers.reflectances.iter().map(|r| r / scale).collect();
            let clipped: Vec<f64> =
                unit.iter().map(|&r| if r < NOISE { r } else { r.max(0.0) }).collect();
            spectrum(numbers.first_nm, numbers.step_nm, &clipped)
                .map(Measurement::Spectrum)
                .map_err(|cause| {
                    let sample = numbers.name.clone();
                    log.fault(numbers.line, ChartFault::Colour { sample, cause });
                })
        }
        Measured::Tristimulus => {
            let [x, y, z] = numbers.xyz?;
            Ok(Measurement::Tristimulus(Xyz { x, y, z }))
        }
        Measured::Cielab => {
            let xyz = lab_of(numbers.lab?).to_xyz(Illuminant::D50.white());
            Ok(Measurement::Tristimulus(xyz))
        }
    };
    Some(Patch {
        name: numbers.name.clone(),
        line: numbers.line,
        device: numbers.device.clone(),
        measurement: measurement.ok()?,
        contradiction: None,
    })
}

/// A spectrum whose ends are held where the instrument's range is narrower than 380 to 730 nm, as
/// ASTM E308 has it for the missing ends of a measurement.
fn spectrum(first: f64, step: f64, values: &[f64]) -> Result<Spectrum, ColourError> {
    #[expect(clippy::cast_precision_loss, reason = "spectra have far fewer than 2^52 samples")]
    let last = first + step * values.len().saturating_sub(1) as f64;
    let (Some(&low), Some(&high)) = (values.first(), values.last()) else {
        return Spectrum::resampled(first, step, values);
    };
    if first > NARROWEST_NM[0] || last < NARROWEST_NM[1] || step <= 0.0 {
        return Spectrum::resampled(first, step, values);
    }
    let mut held = values.to_vec();
    let mut from = first;
    while from > FIRST_BAND_NM {
        held.insert(0, low);
        from -= step;
    }
    let mut to = last;
    while to < LAST_BAND_NM {
        held.push(high);
        to += step;
    }
    Spectrum::resampled(from, step, &held)
}

/// Instruments of the trade read at least 400 to 700 nm; the last 20 nm weigh next to nothing.
const NARROWEST_NM: [f64; 2] = [400.0, 680.0];

/// Says so where spectra are narrower than the bands.
fn remark_on_narrow_spectra(rows: &[Numbers], line: usize, log: &mut Log) {
    let Some(row) = rows.iter().find(|row| !row.reflectances.is_empty()) else { return };
    #[expect(clippy::cast_precision_loss, reason = "spectra have far fewer than 2^52 samples")]
    let last = row.first_nm + row.step_nm * (row.reflectances.len() - 1) as f64;
    if row.first_nm > FIRST_BAND_NM || last < LAST_BAND_NM - 1e-6 {
        log.remark(line, ChartRemark::NarrowSpectra { first: row.first_nm, last });
    }
}

const fn lab_of([l, a, b]: [f64; 3]) -> Lab {
    Lab { l, a, b }
}

fn remark_on_negatives(rows: &[Numbers], scale: f64, line: usize, log: &mut Log) {
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
fn compare_with_cielab(
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

/// The wavelengths' beginning and step.
fn even_grid(cells: &[(f64, usize)], line: usize, log: &mut Log) -> Option<(f64, f64)> {
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

fn sample(table: &Table, kinds: &[Column]) -> Option<usize> {
    let of_name = |name: &String| name.to_ascii_uppercase().ends_with("NAME");
    let samples = || kinds.iter().enumerate().filter(|(_, kind)| **kind == Column::Sample);
    let named = samples().find(|(cell, _)| of_name(&table.columns[*cell]));
    named.or_else(|| samples().next()).map(|(cell, _)| cell)
}

fn refuse_repeated(table: &Table, kinds: &[Column], log: &mut Log) {
    for (place, kind) in kinds.iter().enumerate() {
        let may_repeat = matches!(
            kind,
            Column::Other | Column::Wavelength | Column::PairedReflectance | Column::Sample
        );
        if !may_repeat && kinds[..place].contains(kind) {
            let column = table.columns[place].clone();
            log.fault(table.columns_line, ChartFault::ColumnTwice { column });
        }
    }
}

fn device(kinds: &[Column], line: usize, log: &mut Log) -> Option<Device> {
    let mut devices: Vec<&Device> = Vec::new();
    for kind in kinds {
        if let Column::Device { device, .. } = kind
            && !devices.contains(&device)
        {
            devices.push(device);
        }
    }
    // Some exports add RGB values for display beside the inks.
    let inks: Vec<&Device> =
        devices.iter().copied().filter(|device| **device != Device::Rgb).collect();
    match (inks.as_slice(), devices.as_slice()) {
        ([first, second, ..], _) => {
            let [first, second] = [first, second].map(|device| device.column(0));
            log.fault(line, ChartFault::TwoDevices { first, second });
            None
        }
        ([only], _) => Some((*only).clone()),
        ([], [_, ..]) => {
            log.fault(line, ChartFault::RgbDevice);
            None
        }
        ([], []) => None,
    }
}

fn device_cells(kinds: &[Column], device: &Device, line: usize, log: &mut Log) -> Vec<usize> {
    let cell = |channel: usize| {
        let wanted = Column::Device { device: device.clone(), channel };
        kinds.iter().position(|kind| *kind == wanted)
    };
    let cells: Vec<Option<usize>> = (0..device.channels()).map(cell).collect();
    let missing: Vec<String> = cells
        .iter()
        .enumerate()
        .filter(|(_, cell)| cell.is_none())
        .map(|(channel, _)| device.column(channel))
        .collect();
    if !missing.is_empty() {
        let group = "the device".to_owned();
        log.fault(line, ChartFault::ColumnsMissing { group, missing: missing.join(", ") });
    }
    cells.into_iter().flatten().collect()
}

/// Three columns that go together: all, none, or a fault.
fn complete(
    group: &str,
    cells: [Option<usize>; 3],
    names: [&str; 3],
    line: usize,
    log: &mut Log,
) -> Option<[usize; 3]> {
    if let [Some(one), Some(two), Some(three)] = cells {
        return Some([one, two, three]);
    }
    if cells.iter().any(Option::is_some) {
        let missing: Vec<&str> = names
            .into_iter()
            .zip(cells)
            .filter(|(_, cell)| cell.is_none())
            .map(|(n, _)| n)
            .collect();
        let (group, missing) = (group.to_owned(), missing.join(", "));
        log.fault(line, ChartFault::ColumnsMissing { group, missing });
    }
    None
}

fn reflectances(kinds: &[Column]) -> Vec<(f64, usize)> {
    let of_kind = |(cell, kind): (usize, &Column)| match kind {
        Column::Reflectance(nanometres) => Some((*nanometres, cell)),
        _ => None,
    };
    kinds.iter().enumerate().filter_map(of_kind).collect()
}

/// Wavelength columns with the reflectance column that follows each.
fn pairs(kinds: &[Column], line: usize, log: &mut Log) -> Vec<(usize, usize)> {
    let of_kind = |wanted: &Column| -> Vec<usize> {
        (0..kinds.len()).filter(|&cell| kinds[cell] == *wanted).collect()
    };
    let (wavelengths, values) = (of_kind(&Column::Wavelength), of_kind(&Column::PairedReflectance));
    if wavelengths.len() != values.len() {
        let missing =
            format!("{} of SPECTRAL_NM and {} of SPECTRAL_DEC", wavelengths.len(), values.len());
        let group = "the spectrum in pairs (an equal number each)".to_owned();
        log.fault(line, ChartFault::ColumnsMissing { group, missing });
    }
    wavelengths.into_iter().zip(values).collect()
}

fn refuse_both_sources(device: Option<&Device>, names: &SampleNames, line: usize, log: &mut Log) {
    if let (Some(device), SampleNames::StepsOf { .. }) = (device, names) {
        let columns: Vec<String> = (0..device.channels()).map(|c| device.column(c)).collect();
        log.fault(line, ChartFault::StepsBesideDevice { columns: columns.join(", ") });
    }
}

fn remark_on_unused(table: &Table, kinds: &[Column], log: &mut Log) {
    let unused: Vec<&str> = table
        .columns
        .iter()
        .zip(kinds)
        .filter(|(_, kind)| **kind == Column::Other)
        .map(|(name, _)| name.as_str())
        .collect();
    if !unused.is_empty() {
        let columns = unused.join(", ");
        log.remark(table.columns_line, ChartRemark::UnusedColumns { columns });
    }
}

/// Colours that were computed for another light or observer can't be used; spectra can.
fn refuse_other_light(table: &Table, layout: &Layout, log: &mut Log) {
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
