use std::path::Path;

use csv::{ReaderBuilder, StringRecord, Trim};
use estimating::{ColourTextError, NamedColour};

use crate::shell_error::ShellError;

/// Reads a CSV file of colours: columns `L`, `a`, `b` or `srgb`, and `name` where there is one, in
/// any order and case.
pub(crate) fn read_list(path: &Path) -> Result<Vec<NamedColour>, ShellError> {
    let fault =
        |line: u64, cause: String| ShellError::ColourList { path: path.to_owned(), line, cause };
    let unreadable = |cause: csv::Error| {
        fault(cause.position().map_or(1, csv::Position::line), cause.to_string())
    };
    let mut reader = ReaderBuilder::new().trim(Trim::All).from_path(path).map_err(unreadable)?;
    let columns = Columns::of(reader.headers().map_err(unreadable)?)
        .ok_or_else(|| fault(1, "the header has neither L, a and b nor srgb".to_owned()))?;
    let mut colours = Vec::new();
    for record in reader.records() {
        let record = record.map_err(unreadable)?;
        let line = record.position().map_or(1, csv::Position::line);
        let colour = columns.colour(&record).map_err(|cause| fault(line, cause.to_string()))?;
        colours.push(colour);
    }
    if colours.is_empty() {
        Err(fault(1, "no colour follows the header".to_owned()))
    } else {
        Ok(colours)
    }
}

/// Where the columns stand.
struct Columns {
    name: Option<usize>,
    colour: ColourColumns,
}

enum ColourColumns {
    Lab([usize; 3]),
    Srgb(usize),
}

impl Columns {
    fn of(header: &StringRecord) -> Option<Self> {
        let place = |name: &str| header.iter().position(|column| column.eq_ignore_ascii_case(name));
        let lab = || Some(ColourColumns::Lab([place("L")?, place("a")?, place("b")?]));
        let colour = lab().or_else(|| place("srgb").map(ColourColumns::Srgb))?;
        Some(Self { name: place("name"), colour })
    }

    fn colour(&self, record: &StringRecord) -> Result<NamedColour, ColourTextError> {
        let cell = |column: usize| record.get(column).unwrap_or_default();
        let text = match self.colour {
            ColourColumns::Lab(columns) => columns.map(cell).join(","),
            ColourColumns::Srgb(column) => cell(column).to_owned(),
        };
        let colour: NamedColour = text.parse()?;
        Ok(colour.called(self.name.map_or("", cell)))
    }
}
