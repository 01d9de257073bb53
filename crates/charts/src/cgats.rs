use crate::ChartFault;
use crate::ChartRemark;
use crate::log::Log;
use crate::table::{Keyword, Row, Table};

/// Reads CGATS text into a table: the first one, where there are several.
///
/// Dialects differ in the first line, in tabs or spaces, in quotes, and in what they count. A count
/// that is stated must be kept.
///
/// Source: ISO 28178:2009; CGATS.17 from memory.
pub(crate) fn read_text(text: &str, log: &mut Log) -> Option<Table> {
    let mut reading = Reading { table: Table::default(), part: Part::Preamble, ended: false };
    let mut lines = 0;
    for (index, line) in text.lines().enumerate() {
        lines = index + 1;
        if reading.ended {
            if cells(line).iter().any(|cell| cell.eq_ignore_ascii_case("BEGIN_DATA")) {
                log.remark(lines, ChartRemark::FurtherTables);
                break;
            }
        } else {
            reading.take(line, lines, log);
        }
    }
    reading.close(lines, log);
    log.is_clean().then_some(reading.table)
}

#[derive(Clone, Copy, PartialEq)]
enum Part {
    Preamble,
    Format,
    Data,
}

struct Reading {
    table: Table,
    part: Part,
    ended: bool,
}

impl Reading {
    fn take(&mut self, line: &str, number: usize, log: &mut Log) {
        let cells = cells(line);
        let Some(first) = cells.first() else { return };
        match (self.part, first.to_ascii_uppercase().as_str()) {
            (Part::Preamble, "BEGIN_DATA_FORMAT") => {
                self.part = Part::Format;
                self.table.columns_line = number;
                self.add_columns(&cells[1..], number);
            }
            (Part::Preamble, "BEGIN_DATA") => {
                if self.table.columns.is_empty() {
                    let (keyword, wanted) = ("BEGIN_DATA", "BEGIN_DATA_FORMAT");
                    log.fault(number, ChartFault::OutOfOrder { keyword, wanted });
                }
                self.part = Part::Data;
            }
            (Part::Format, _) => self.add_columns(&cells, number),
            (Part::Data, "END_DATA") => self.ended = true,
            (Part::Data, "BEGIN_DATA" | "BEGIN_DATA_FORMAT") => {
                let (keyword, wanted) = ("BEGIN_DATA", "END_DATA");
                log.fault(number, ChartFault::OutOfOrder { keyword, wanted });
                self.ended = true;
            }
            (Part::Data, _) => self.add_row(line, cells, number, log),
            (Part::Preamble, _) => self.add_keyword(&cells, number),
        }
    }

    /// Columns may stand on one line or on several.
    fn add_columns(&mut self, cells: &[String], number: usize) {
        for cell in cells {
            if cell.eq_ignore_ascii_case("END_DATA_FORMAT") {
                self.part = Part::Preamble;
                return;
            }
            if self.table.columns.is_empty() {
                self.table.columns_line = number;
            }
            self.table.columns.push(cell.clone());
        }
    }

    /// A row whose names hold spaces is split at its tabs, where that gives the right length.
    fn add_row(&mut self, line: &str, cells: Vec<String>, number: usize, log: &mut Log) {
        let wanted = self.table.columns.len();
        let cells =
            if cells.len() == wanted { cells } else { tabbed(line, wanted).unwrap_or(cells) };
        let found = cells.len();
        if found != wanted {
            log.fault(number, ChartFault::RowLength { found, wanted });
        }
        self.table.rows.push(Row { line: number, cells });
    }

    fn add_keyword(&mut self, cells: &[String], line: usize) {
        if self.table.form.is_empty() && self.table.keywords.is_empty() {
            self.table.form = cells.join(" ");
        } else {
            let value = cells[1..].join(" ");
            self.table.keywords.push(Keyword { name: cells[0].clone(), value, line });
        }
    }

    fn close(&self, lines: usize, log: &mut Log) {
        let table = &self.table;
        match self.part {
            Part::Format => log.fault(lines, ChartFault::CutOff { missing: "END_DATA_FORMAT" }),
            Part::Preamble if table.columns.is_empty() => log.fault(1, ChartFault::UnknownForm),
            Part::Preamble => log.fault(lines, ChartFault::CutOff { missing: "BEGIN_DATA" }),
            Part::Data if !self.ended => {
                log.fault(lines, ChartFault::CutOff { missing: "END_DATA" });
            }
            Part::Data => {}
        }
        if self.ended && table.rows.is_empty() {
            log.fault(lines, ChartFault::NoPatches);
        }
        self.check_count("NUMBER_OF_SETS", table.rows.len(), "rows", log);
        self.check_count("NUMBER_OF_FIELDS", table.columns.len(), "columns", log);
    }

    fn check_count(&self, keyword: &'static str, found: usize, of: &'static str, log: &mut Log) {
        let Some(stated) = self.table.keyword(keyword) else { return };
        if stated.value.trim().parse() != Ok(found) {
            let value = stated.value.clone();
            log.fault(stated.line, ChartFault::Count { keyword, stated: value, found, of });
        }
    }
}

/// The cells of a line: separated by blanks, in quotes where they hold blanks, up to a comment.
fn cells(line: &str) -> Vec<String> {
    let mut cells = Vec::new();
    let mut rest = line.trim_start();
    while let Some(first) = rest.chars().next() {
        if first == '#' {
            break;
        }
        let (cell, after) = if first == '"' || first == '\'' {
            let inside = &rest[1..];
            inside.split_once(first).unwrap_or((inside.trim_end(), ""))
        } else {
            rest.split_at(rest.find(char::is_whitespace).unwrap_or(rest.len()))
        };
        cells.push(cell.to_owned());
        rest = after.trim_start();
    }
    cells
}

/// The cells between tabs, if there are as many as wanted.
fn tabbed(line: &str, wanted: usize) -> Option<Vec<String>> {
    let plain = |cell: &str| cell.trim().trim_matches('"').to_owned();
    let cells: Vec<String> = line.trim_end().split('\t').map(plain).collect();
    (cells.len() == wanted).then_some(cells)
}
