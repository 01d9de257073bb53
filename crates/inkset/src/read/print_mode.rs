use std::collections::BTreeMap;

use strict_toml::{FormatFault, Rise, percent};
use units::{Coverage, DeviceValue, DotsPerInch, DropVolume, LayDown, Share};

use super::curve_ends::runs_from_0_to_100;
use super::outline::Outline;
use super::quantity::{
    ACROSS, ALONG, DEVICE, DROP_VOLUME, DROPS_PER_CELL, LAY_DOWN, ROW_COVERAGE, SHARE,
};
use super::{Entry, Table};
use crate::{DeviceCurve, DropMix, DropMixRow, Fault, PrintMode, Remark};

pub(super) const PRINT_MODE_KEYS: [&str; 8] = [
    "name",
    "across_dpi",
    "along_dpi",
    "drops_per_cell",
    "drop_volumes_pl",
    "drop_mix",
    "lay_down_ml_per_m2",
    "device_curve",
];
pub(super) const DROP_MIX_KEYS: [&str; 2] = ["coverage_percent", "shares_percent"];
pub(super) const DEVICE_CURVE_KEYS: [&str; 2] = ["device_percent", "coverage_percent"];

/// Rounding of shares such as 33.3, 33.3, 33.3, and of adding them up; our choice.
const SHARES_ROUNDING_PERCENT: f64 = 0.1 + 1e-9;
/// Rounding of the mean of rows that keep the same shares.
const MEAN_DROP_ROUNDING_PL: f64 = 1e-9;

pub(super) fn read_print_mode(
    table: &Table,
    outline: &Outline,
    takes_device_values: bool,
) -> Option<PrintMode> {
    table.only(&PRINT_MODE_KEYS);
    let name = table.need("name", "write a name").and_then(|entry| entry.name());
    let across = table.quantity(&ACROSS, DotsPerInch::from_dots_per_inch);
    let along = table.quantity(&ALONG, DotsPerInch::from_dots_per_inch);
    let lay_down = lay_down(table, outline);
    let device_curve = device_curves(table, outline, takes_device_values);
    let grid = Grid { across: across?, along: along? };
    let (drops_per_cell, drop_mix) = match table.get(DROP_VOLUME.key()) {
        Some(volumes) => fired(table, &grid, &volumes),
        None => substituted(table, &grid, &lay_down, outline),
    }?;
    Some(PrintMode {
        name: name?,
        across: grid.across,
        along: grid.along,
        drops_per_cell,
        drop_mix,
        lay_down,
        device_curve,
    })
}

/// The cells that the device addresses.
struct Grid {
    across: DotsPerInch,
    along: DotsPerInch,
}

fn lay_down(table: &Table, outline: &Outline) -> BTreeMap<String, LayDown> {
    let Some(entry) = table.get(LAY_DOWN.key()) else {
        return BTreeMap::new();
    };
    let make = LayDown::from_millilitres_per_square_metre;
    entry.known_quantities(&LAY_DOWN, "an ink", &outline.ink_names(), make)
}

/// Drops as the file states them.
fn fired(table: &Table, grid: &Grid, volumes: &Entry) -> Option<(f64, DropMix)> {
    let drops_per_cell = table.quantity(&DROPS_PER_CELL, Ok);
    let mix = drop_mix(table, volumes)?;
    let drops_per_cell = drops_per_cell?;
    let full = DropVolume::from_picolitres(mix.mean_picolitres(Coverage::MAX));
    full.and_then(|drop| LayDown::from_dots(grid.across, grid.along, drops_per_cell, drop))
        .map_err(|refusal| volumes.fault(FormatFault::Quantity(refusal)))
        .ok()?;
    Some((drops_per_cell, mix))
}

fn drop_mix(table: &Table, entry: &Entry) -> Option<DropMix> {
    let picolitres = entry.quantities(&DROP_VOLUME, Ok)?;
    let sizes = picolitres.len();
    if !(1..=3).contains(&sizes) {
        entry.fault(FormatFault::Count {
            count: sizes,
            low: 1,
            high: 3,
            remedy: "write small, medium and large drops at most",
        });
        return None;
    }
    Rise::Strict.check(entry, &picolitres)?;
    let volumes: Result<Vec<DropVolume>, _> =
        picolitres.into_iter().map(DropVolume::from_picolitres).collect();
    let rows = match table.get("drop_mix") {
        Some(list) => rows(&list, sizes)?,
        None if sizes == 1 => vec![all_of_one_size()],
        None => {
            table.fault("drop_mix", Fault::DropMixMissing { sizes });
            return None;
        }
    };
    let mix = DropMix { volumes: volumes.ok()?, rows };
    mean_drop_never_falls(table, &mix)?;
    Some(mix)
}

fn all_of_one_size() -> DropMixRow {
    DropMixRow { coverage: Coverage::MAX, shares: vec![Share::MAX] }
}

fn rows(list: &Entry, sizes: usize) -> Option<Vec<DropMixRow>> {
    let tables = list.tables();
    let read: Vec<Option<DropMixRow>> = tables.iter().map(|table| row(table, sizes)).collect();
    let rows: Vec<DropMixRow> = read.into_iter().collect::<Option<_>>()?;
    let coverages = rows.iter().map(|row| row.coverage.to_fraction() * 100.0);
    let coverages: Vec<f64> = coverages.collect();
    Rise::Strict.check(list, &coverages)?;
    runs_from_0_to_100(list, &coverages)?;
    Some(rows)
}

fn row(table: &Table, sizes: usize) -> Option<DropMixRow> {
    table.only(&DROP_MIX_KEYS);
    let coverage = table.quantity(&ROW_COVERAGE, percent(Coverage::from_fraction));
    let entry = table.need(SHARE.key(), "write the share of each drop size, small to large")?;
    let percentages = entry.quantities(&SHARE, Ok)?;
    entry.has_length(percentages.len(), sizes, "drop_volumes_pl")?;
    Some(DropMixRow { coverage: coverage?, shares: shares_of_whole(&entry, &percentages)? })
}

/// Shares that add up to one, with the rounding of the file taken out.
fn shares_of_whole(entry: &Entry, percentages: &[f64]) -> Option<Vec<Share>> {
    let sum: f64 = percentages.iter().sum();
    if (sum - 100.0).abs() > SHARES_ROUNDING_PERCENT {
        entry.fault(Fault::SharesSum { sum });
        return None;
    }
    let shares = percentages.iter().map(|share| Share::from_fraction(share / sum));
    shares.collect::<Result<_, _>>().ok()
}

fn mean_drop_never_falls(table: &Table, mix: &DropMix) -> Option<()> {
    let means: Vec<f64> = mix.rows.iter().map(|row| mix.mean_picolitres(row.coverage)).collect();
    let falls = |pair: &&[f64]| pair[1] < pair[0] - MEAN_DROP_ROUNDING_PL;
    let Some(pair) = means.windows(2).find(falls) else {
        return Some(());
    };
    let (before, volume) = (pair[0], pair[1]);
    table.fault("drop_mix", Fault::MeanDropFalls { volume, before });
    None
}

/// Stands in for drops of unknown size where every ink's lay-down is stated: one drop a cell, of
/// the size that gives the mean lay-down. As it is the same at every coverage, volume becomes
/// proportional to coverage, which the notice says.
fn substituted(
    table: &Table,
    grid: &Grid,
    lay_down: &BTreeMap<String, LayDown>,
    outline: &Outline,
) -> Option<(f64, DropMix)> {
    for key in [DROPS_PER_CELL.key(), "drop_mix"] {
        if table.get(key).is_some() {
            table.fault(key, Fault::DropsWithoutVolumes);
        }
    }
    let inks: Vec<String> = outline
        .ink_names()
        .into_iter()
        .filter(|&ink| !lay_down.contains_key(ink))
        .map(str::to_owned)
        .collect();
    if !inks.is_empty() {
        table.fault(DROP_VOLUME.key(), Fault::LayDownNotKnown { inks });
        return None;
    }
    table.remark(Remark::DropSizesUnknown);
    let mix =
        DropMix { volumes: vec![mean_drop(table, grid, lay_down)?], rows: vec![all_of_one_size()] };
    Some((1.0, mix))
}

fn mean_drop(
    table: &Table,
    grid: &Grid,
    lay_down: &BTreeMap<String, LayDown>,
) -> Option<DropVolume> {
    let made = DropVolume::from_picolitres(1.0)
        .and_then(|drop| LayDown::from_dots(grid.across, grid.along, 1.0, drop))
        .and_then(|of_picolitre| {
            DropVolume::from_picolitres(mean(lay_down) / volume(of_picolitre))
        });
    made.map_err(|refusal| table.fault(ACROSS.key(), FormatFault::Quantity(refusal))).ok()
}

fn mean(lay_down: &BTreeMap<String, LayDown>) -> f64 {
    let sum: f64 = lay_down.values().copied().map(volume).sum();
    #[expect(clippy::cast_precision_loss, reason = "there are at most twelve inks")]
    let inks = lay_down.len() as f64;
    sum / inks
}

const fn volume(lay_down: LayDown) -> f64 {
    lay_down.to_millilitres_per_square_metre()
}

fn device_curves(
    table: &Table,
    outline: &Outline,
    takes_device_values: bool,
) -> BTreeMap<String, DeviceCurve> {
    let inks = outline.ink_names();
    let curves = match table.get("device_curve") {
        None => BTreeMap::new(),
        Some(entry) if entry.is_text() => unknown_for_all(&entry, &inks),
        Some(entry) => curve_by_ink(&entry, &inks),
    };
    let lacks_curve = |ink: &&str| !curves.contains_key(*ink);
    let inks: Vec<&str> = inks.into_iter().filter(lacks_curve).collect();
    if takes_device_values && !inks.is_empty() {
        let inks = inks.into_iter().map(str::to_owned).collect();
        table.fault("device_curve", Fault::DeviceCurveNotKnown { inks });
    }
    curves
}

fn unknown_for_all(entry: &Entry, inks: &[&str]) -> BTreeMap<String, DeviceCurve> {
    match unknown(entry) {
        Some(unknown) => inks.iter().map(|&ink| (ink.to_owned(), unknown.clone())).collect(),
        None => BTreeMap::new(),
    }
}

fn unknown(entry: &Entry) -> Option<DeviceCurve> {
    entry.word(&[("unknown", ())]).map(|()| DeviceCurve::Unknown)
}

fn curve_by_ink(entry: &Entry, inks: &[&str]) -> BTreeMap<String, DeviceCurve> {
    let mut curves = BTreeMap::new();
    for (ink, entry) in entry.table().iter().flat_map(Table::each) {
        if entry.is_known(ink, "an ink", inks) {
            let curve = if entry.is_text() { unknown(&entry) } else { device_curve(&entry) };
            curves.extend(curve.map(|curve| (ink.to_owned(), curve)));
        }
    }
    curves
}

fn device_curve(entry: &Entry) -> Option<DeviceCurve> {
    let table = entry.table()?;
    table.only(&DEVICE_CURVE_KEYS);
    let devices = table.need(DEVICE.key(), "write rising device values from 0 to 100 %");
    let devices = devices.and_then(|entry| {
        let devices = entry.quantities(&DEVICE, Ok)?;
        Rise::Strict.check(&entry, &devices)?;
        runs_from_0_to_100(&entry, &devices)?;
        Some(devices)
    });
    let entry = table.need(ROW_COVERAGE.key(), "write the coverage of each device value")?;
    let coverages = entry.quantities(&ROW_COVERAGE, Ok)?;
    let devices = devices?;
    entry.has_length(coverages.len(), devices.len(), DEVICE.key())?;
    Rise::Level.check(&entry, &coverages)?;
    if coverages.first() != Some(&0.0) {
        entry.fault(Fault::InkWithoutDeviceValue);
        return None;
    }
    points(&devices, &coverages)
}

fn points(devices: &[f64], coverages: &[f64]) -> Option<DeviceCurve> {
    let point = |(device, coverage): (&f64, &f64)| {
        let device = DeviceValue::from_fraction(device / 100.0).ok()?;
        let coverage = Coverage::from_fraction(coverage / 100.0).ok()?;
        Some((device, coverage))
    };
    let points = devices.iter().zip(coverages).map(point);
    points.collect::<Option<_>>().map(DeviceCurve::Points)
}
