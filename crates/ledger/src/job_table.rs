use std::fmt;
use std::num::NonZeroU32;

use csv::{ReaderBuilder, StringRecord, Trim};
use thiserror::Error;
use units::{Length, Volume};

use crate::decimal_style::DecimalStyle;
use crate::{CalendarDate, Includes, MeasuredBy, Readings};

/// A job as a row of a table states it: checked by itself, its picture and ink set not yet.
#[derive(Clone, Debug, PartialEq)]
pub struct JobRow {
    /// Line of the table.
    pub line: u64,
    /// Day of the print.
    pub date: CalendarDate,
    /// The picture's file.
    pub file: String,
    /// Hash of the picture's file, 64 hexadecimal digits, where the table gives one.
    pub content_hash: Option<String>,
    /// Built-in name or path of the ink set.
    pub ink_set: String,
    /// Substrate, where the table gives one.
    pub substrate: Option<String>,
    /// Print mode, where the table gives one.
    pub print_mode: Option<String>,
    /// How colours were rendered, where the table says it.
    pub rendering: Option<String>,
    /// How the separation was picked, where the table says it.
    pub policy: Option<String>,
    /// Printed width of a copy.
    pub width: Option<Length>,
    /// Printed height of a copy.
    pub height: Option<Length>,
    /// Number of prints.
    pub copies: NonZeroU32,
    /// Where the millilitres come from.
    pub measured_by: MeasuredBy,
    /// The smallest step of the readings.
    pub resolution: Volume,
    /// What the readings hold beside the picture's ink.
    pub includes: Includes,
    /// The millilitres.
    pub readings: Readings,
    /// Anything in words.
    pub note: String,
}

/// Every fault of a table of jobs, by line.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
pub struct TableFaults(pub Vec<RowFault>);

/// One fault of a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RowFault {
    /// Line, the header being 1.
    pub line: u64,
    /// What is wrong, with the value and what to do.
    pub text: String,
}

impl RowFault {
    /// A fault of a line.
    #[must_use]
    pub fn new(line: u64, text: impl fmt::Display) -> Self {
        Self { line, text: text.to_string() }
    }
}

impl fmt::Display for RowFault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "line {}: {}", self.line, self.text)
    }
}

impl fmt::Display for TableFaults {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let lines: Vec<String> = self.0.iter().map(ToString::to_string).collect();
        out.write_str(&lines.join("\n"))
    }
}

/// Columns that every table has.
pub(crate) const NEEDED: [&str; 5] = ["date", "file", "ink_set", "measured_by", "resolution_ml"];
/// Columns that it may have, beside one `ml INK` for each ink that was read.
pub(crate) const FURTHER: [&str; 11] = [
    "content_hash",
    "substrate",
    "print_mode",
    "rendering",
    "policy",
    "width_mm",
    "height_mm",
    "copies",
    "includes",
    "total_ml",
    "note",
];
/// What the column of an ink begins with.
pub(crate) const OF_INK: &str = "ml ";

/// A hundred litres in one job: beyond that the unit is wrong. Our choice.
const MOST_MILLILITRES: f64 = 100_000.0;

/// Reads a table of jobs: CSV with a header, cells parted by commas or by semicolons.
///
/// # Errors
///
/// Every fault of every line at once.
pub fn read_job_table(text: &str) -> Result<Vec<JobRow>, TableFaults> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let table = Table::split(text).map_err(|fault| TableFaults(vec![fault]))?;
    table.check_header()?;
    table.check_lengths().map_err(|fault| TableFaults(vec![fault]))?;
    let style = DecimalStyle::of(table.numbers()).map_err(|fault| TableFaults(vec![fault]))?;
    let (mut jobs, mut faults) = (Vec::new(), Vec::new());
    for (line, record) in &table.records {
        let mut row = RowReader { header: &table.header, record, style, faults: Vec::new() };
        match row.job(*line) {
            Some(job) if row.faults.is_empty() => jobs.push(job),
            _ => faults.extend(row.faults.into_iter().map(|text| RowFault::new(*line, text))),
        }
    }
    if jobs.is_empty() && faults.is_empty() {
        faults.push(RowFault::new(1, "the table has a header and no job; add a line for each job"));
    }
    if faults.is_empty() { Ok(jobs) } else { Err(TableFaults(faults)) }
}

/// Header and lines.
struct Table {
    header: Vec<String>,
    records: Vec<(u64, StringRecord)>,
}

impl Table {
    fn split(text: &str) -> Result<Self, RowFault> {
        let first = text.lines().next().unwrap_or_default();
        let delimiter = if first.contains(';') { b';' } else { b',' };
        let mut reader = ReaderBuilder::new()
            .delimiter(delimiter)
            .trim(Trim::All)
            .has_headers(false)
            .flexible(true)
            .from_reader(text.as_bytes());
        let mut records = Vec::new();
        for record in reader.records() {
            let record = record.map_err(|fault| RowFault::new(1, fault))?;
            let line = record.position().map_or(0, csv::Position::line);
            records.push((line, record));
        }
        if records.is_empty() {
            return Err(RowFault::new(1, "the table is empty; begin with the header"));
        }
        let (_, header) = records.remove(0);
        Ok(Self { header: header.iter().map(str::to_owned).collect(), records })
    }

    fn check_header(&self) -> Result<(), TableFaults> {
        let known = |name: &str| {
            NEEDED.contains(&name) || FURTHER.contains(&name) || name.starts_with(OF_INK)
        };
        let mut faults: Vec<String> = Vec::new();
        for name in self.header.iter().filter(|name| !known(name)) {
            faults.push(format!(
                "column `{name}` is unknown; there are {}, {}, and `ml INK` for each ink",
                NEEDED.join(", "),
                FURTHER.join(", ")
            ));
        }
        for name in NEEDED.iter().filter(|name| !self.header.iter().any(|h| h == *name)) {
            faults.push(format!("column `{name}` is missing; every table of jobs has it"));
        }
        for (place, name) in self.header.iter().enumerate() {
            if self.header[..place].contains(name) {
                faults.push(format!("column `{name}` is there twice; keep one"));
            }
        }
        if faults.is_empty() {
            return Ok(());
        }
        Err(TableFaults(faults.into_iter().map(|text| RowFault::new(1, text)).collect()))
    }

    fn check_lengths(&self) -> Result<(), RowFault> {
        let cells = self.header.len();
        match self.records.iter().find(|(_, record)| record.len() != cells) {
            Some((line, record)) => Err(RowFault::new(*line, uneven(record.len(), cells))),
            None => Ok(()),
        }
    }

    /// The cells that are to be numbers, with line and column.
    fn numbers(&self) -> impl Iterator<Item = (u64, &str, &str)> + Clone {
        self.records.iter().flat_map(|(line, record)| {
            let cells = self.header.iter().zip(record);
            cells.filter_map(|(name, cell)| is_number(name).then_some((*line, name.as_str(), cell)))
        })
    }
}

fn uneven(found: usize, expected: usize) -> String {
    let remedy = if found > expected {
        "; decimal commas need semicolons between the cells, or quotes"
    } else {
        "; add what is missing, empty cells too"
    };
    format!("the line has {found} cells where the header has {expected}{remedy}")
}

/// Whether a column holds numbers.
fn is_number(name: &str) -> bool {
    name.starts_with(OF_INK)
        || ["width_mm", "height_mm", "copies", "resolution_ml", "total_ml"].contains(&name)
}

/// Reads the cells of a line and collects what is wrong.
struct RowReader<'a> {
    header: &'a [String],
    record: &'a StringRecord,
    style: DecimalStyle,
    faults: Vec<String>,
}

impl RowReader<'_> {
    fn job(&mut self, line: u64) -> Option<JobRow> {
        // Every cell is read before any is missed, so that all faults are told at once.
        let date = self.needed("date");
        let date = date.and_then(|text| self.kept(text.parse::<CalendarDate>()));
        let file = self.needed("file");
        let ink_set = self.needed("ink_set");
        let measured_by = self.measured_by();
        let resolution = self.needed("resolution_ml").and_then(|_| self.resolution());
        let includes = Includes::from_words(&self.cell("includes").unwrap_or_default());
        let includes = self.kept(includes);
        let copies = self.copies();
        let width = self.length("width_mm");
        let height = self.length("height_mm");
        let readings = self.readings();
        Some(JobRow {
            line,
            date: date?,
            file: file?,
            content_hash: self.cell("content_hash"),
            ink_set: ink_set?,
            substrate: self.cell("substrate"),
            print_mode: self.cell("print_mode"),
            rendering: self.cell("rendering"),
            policy: self.cell("policy"),
            width: width?,
            height: height?,
            copies: copies?,
            measured_by: measured_by?,
            resolution: resolution?,
            includes: includes?,
            readings: readings?,
            note: self.cell("note").unwrap_or_default(),
        })
    }

    /// A cell that is not empty.
    fn cell(&self, name: &str) -> Option<String> {
        let place = self.header.iter().position(|column| column == name)?;
        self.record.get(place).filter(|text| !text.is_empty()).map(str::to_owned)
    }

    fn needed(&mut self, name: &str) -> Option<String> {
        let cell = self.cell(name);
        if cell.is_none() {
            self.faults.push(format!("`{name}` is empty; every job needs it"));
        }
        cell
    }

    fn kept<T, E: fmt::Display>(&mut self, result: Result<T, E>) -> Option<T> {
        result.map_err(|fault| self.faults.push(fault.to_string())).ok()
    }

    /// A number in its range; `Some(None)` for an empty cell, `None` after a fault.
    fn number(&mut self, name: &str, [low, high]: [f64; 2], unit: &str) -> Option<Option<f64>> {
        let Some(text) = self.cell(name) else { return Some(None) };
        match self.style.read(&text) {
            Some(value) if (low..=high).contains(&value) => Some(Some(value)),
            Some(_) => {
                self.faults.push(format!(
                    "`{name}` is {text}, outside {low} to {high} {unit}; check the record"
                ));
                None
            }
            None => {
                self.faults
                    .push(format!("`{name}` is `{text}`, no number; write for example 1.25"));
                None
            }
        }
    }

    fn length(&mut self, name: &str) -> Option<Option<Length>> {
        let millimetres = self.number(name, [1.0, 100_000.0], "mm")?;
        Some(millimetres.and_then(|value| Length::from_millimetres(value).ok()))
    }

    fn volume(&mut self, name: &str, low: f64) -> Option<Option<Volume>> {
        let millilitres = self.number(name, [low, MOST_MILLILITRES], "ml")?;
        Some(millilitres.and_then(|value| Volume::from_millilitres(value).ok()))
    }

    fn resolution(&mut self) -> Option<Volume> {
        // A nanolitre at the least: nothing is nought steps apart.
        self.volume("resolution_ml", 0.000_001)?
    }

    fn copies(&mut self) -> Option<NonZeroU32> {
        let Some(text) = self.cell("copies") else { return Some(NonZeroU32::MIN) };
        let copies = text.parse().ok();
        if copies.is_none() {
            self.faults.push(format!("`copies` is {text}; write a whole number from 1"));
        }
        copies
    }

    fn measured_by(&mut self) -> Option<MeasuredBy> {
        let word = self.needed("measured_by")?;
        let known = MeasuredBy::from_word(&word);
        if known.is_none() {
            let words = MeasuredBy::ALL.map(MeasuredBy::word).join(", ");
            self.faults.push(format!("`measured_by` is `{word}`; write one of {words}"));
        }
        known
    }

    fn readings(&mut self) -> Option<Readings> {
        let header = self.header;
        let total = self.volume("total_ml", 0.0);
        let mut inks = Vec::new();
        let mut whole = true;
        for (column, ink) in header.iter().filter_map(|c| Some((c, c.strip_prefix(OF_INK)?))) {
            match self.volume(column, 0.0) {
                Some(volume) => inks.extend(volume.map(|volume| (ink.trim().to_owned(), volume))),
                None => whole = false,
            }
        }
        match (total?, inks.is_empty()) {
            _ if !whole => None,
            (Some(total), true) => Some(Readings::Total(total)),
            (None, false) => Some(Readings::ByInk(inks)),
            (Some(_), false) => {
                self.faults.push("both `total_ml` and readings of inks; keep the inks".to_owned());
                None
            }
            (None, true) => {
                self.faults.push("nothing was read; give `total_ml` or `ml INK`".to_owned());
                None
            }
        }
    }
}
