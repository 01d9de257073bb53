//! Every cell of format, colour model, depth and compression against independent readers, or
//! refused by the named error. `testimages/make_format_table.py` makes files and table.

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;

use colour::{Alpha, BitDepth};

use crate::support::{Whole, read, variant};

/// The wanted agreement with an independent reader: a thousandth of full scale.
const AGREEMENT: f64 = 1e-3;

fn root(name: &str) -> PathBuf {
    [env!("CARGO_MANIFEST_DIR"), "../..", name].iter().collect()
}

/// A cell of the table.
struct Cell {
    fields: Vec<String>,
}

impl Cell {
    fn all() -> Vec<Self> {
        let table = fs::read_to_string(root("tests/reference/format-means.csv")).unwrap();
        let mut lines = table.lines();
        assert_eq!(
            lines.next(),
            Some(
                "file,format,model,depth,compression,layout,width,height,mean_1,mean_2,mean_3,\
                 mean_4,mean_alpha,reader,refused"
            )
        );
        lines.map(|line| Self { fields: fields(line) }).collect()
    }

    fn name(&self) -> &str {
        &self.fields[0]
    }

    fn number(&self, index: usize) -> Option<f64> {
        self.fields[index].parse().ok()
    }

    fn is_over_white(&self) -> bool {
        self.fields[13].contains("over white")
    }

    fn check(&self, whole: &Whole) {
        let (name, format) = (self.name(), whole.picture.format);
        let sides = [format.width, format.height].map(f64::from);
        assert_eq!(sides.map(Some), [self.number(6), self.number(7)], "{name}");
        let expected = (8..12).filter_map(|index| self.number(index));
        for (channel, expected) in expected.enumerate() {
            let mean = self.mean(whole, channel);
            assert!((mean - expected).abs() < AGREEMENT, "{name}: {mean} beside {expected}");
        }
        match self.number(12) {
            Some(expected) => {
                let mean = mean(whole, format.model.channels());
                assert!((mean - expected).abs() < AGREEMENT, "{name}: opacity {mean}");
            }
            None => assert!(format.alpha == Alpha::None || self.is_over_white(), "{name}"),
        }
    }

    /// A channel's mean; gray stands for all three colours where the table has three.
    fn mean(&self, whole: &Whole, channel: usize) -> f64 {
        let channels = whole.picture.format.model.channels();
        let colour = mean(whole, if channels == 1 { 0 } else { channel });
        if self.is_over_white() { colour + 1.0 - mean(whole, channels) } else { colour }
    }
}

/// Fields of a line, of which some are quoted.
fn fields(line: &str) -> Vec<String> {
    let mut quoted = false;
    let split = line.split(|letter| {
        quoted ^= letter == '"';
        letter == ',' && !quoted
    });
    split.map(|field| field.trim_matches('"').to_owned()).collect()
}

fn mean(whole: &Whole, channel: usize) -> f64 {
    let format = whole.picture.format;
    let full = if format.depth == BitDepth::Sixteen { 65_535.0 } else { 255.0 };
    let samples = whole.samples.iter().skip(channel).step_by(format.samples_per_pixel());
    let sum: u64 = samples.map(|sample| u64::from(*sample)).sum();
    sum as f64 / full / format.pixels() as f64
}

#[test]
fn every_cell_equals_an_independent_reader_or_is_refused_by_name() {
    let cells = Cell::all();
    assert!(cells.len() > 190);
    let mut faults = Vec::new();
    for cell in cells {
        let outcome = read(&fs::read(root("testimages/formats").join(cell.name())).unwrap());
        match (outcome, cell.fields[14].as_str()) {
            (Ok(whole), "") => cell.check(&whole),
            (Err(error), refused) if variant(&error) == refused => {}
            (Ok(_), refused) => faults.push(format!("{}: read, not {refused}", cell.name())),
            (Err(error), _) => faults.push(format!("{}: {error}", cell.name())),
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
}

#[test]
fn every_file_of_the_table_is_there_and_no_other() {
    let listed: BTreeSet<_> = Cell::all().iter().map(|cell| cell.name().to_owned()).collect();
    let stored = fs::read_dir(root("testimages/formats")).unwrap();
    let stored: BTreeSet<_> =
        stored.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    assert_eq!(listed, stored);
}

/// Formats of which a file may end early without a word being missing: none.
#[test]
fn every_readable_cell_is_refused_when_it_is_cut() {
    let mut faults = Vec::new();
    for cell in Cell::all().iter().filter(|cell| cell.fields[14].is_empty()) {
        let file = fs::read(root("testimages/formats").join(cell.name())).unwrap();
        for percent in [10, 50, 90, 99] {
            let cut = &file[..file.len() * percent / 100];
            match read(cut) {
                Err(error)
                    if matches!(variant(&error), "Truncated" | "Corrupt" | "Implausible") => {}
                Err(error) => faults.push(format!("{} at {percent} %: {error}", cell.name())),
                Ok(_) => faults.push(format!("{} at {percent} % is read", cell.name())),
            }
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
}

#[test]
fn the_readme_shows_every_readable_cell() {
    let readme = fs::read_to_string(root("README.md")).unwrap();
    for cell in Cell::all().iter().filter(|cell| cell.fields[14].is_empty()) {
        let [format, model, depth, compression] =
            [1, 2, 3, 4].map(|index| cell.fields[index].as_str());
        let row = readme.lines().find(|line| line.starts_with(&format!("| {format} | {model} | ")));
        let row = row.unwrap_or_else(|| panic!("{format} {model} has no row"));
        assert!(row.contains(depth) && row.contains(compression), "{}: {row}", cell.name());
    }
}
