use crate::column::{Column, Device, column};
use crate::log::Log;
use crate::row_numbers::{
    DEVICE, LIGHTNESS, Numbers, OPPONENT, REFLECTANCE, RowReader, WAVELENGTH, XYZ, device_value,
    even_grid, option_of,
};
use crate::sample_names::step;
use crate::table::{Row, Table};
use crate::{ChartFault, ChartRemark, Measured, SampleNames};

/// Which cell holds what.
pub(crate) struct Layout {
    pub(crate) sample: Option<usize>,
    pub(crate) device: Option<Device>,
    /// Cells of the device values, channel by channel.
    pub(crate) device_cells: Vec<usize>,
    pub(crate) xyz: Option<[usize; 3]>,
    pub(crate) lab: Option<[usize; 3]>,
    /// Cells of the reflectances by rising wavelength.
    pub(crate) reflectances: Vec<(f64, usize)>,
    /// Cells of wavelengths and of the reflectances that follow them.
    pub(crate) pairs: Vec<(usize, usize)>,
    pub(crate) measured: Measured,
    pub(crate) columns: Vec<String>,
}

impl Layout {
    pub(crate) fn of(table: &Table, names: &SampleNames, log: &mut Log) -> Option<Self> {
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

    pub(crate) fn channels(&self, names: &SampleNames) -> Vec<String> {
        match (&self.device, names) {
            (Some(device), _) => (0..device.channels()).map(|c| device.channel_name(c)).collect(),
            (None, SampleNames::StepsOf { ink }) => vec![ink.clone()],
            (None, SampleNames::Labels) => Vec::new(),
        }
    }

    /// All numbers of a row, or `None` where one is at fault.
    pub(crate) fn numbers(&self, row: &Row, names: &SampleNames, log: &mut Log) -> Option<Numbers> {
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
