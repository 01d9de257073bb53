/// Columns, rows and keywords of a chart before anything is understood of them.
#[derive(Debug, Default)]
pub(crate) struct Table {
    /// How the file calls its form.
    pub(crate) form: String,
    /// Names of the columns, as written.
    pub(crate) columns: Vec<String>,
    /// Line of the first column's name.
    pub(crate) columns_line: usize,
    pub(crate) rows: Vec<Row>,
    /// Names of the inks where the file knows them better than the columns do.
    pub(crate) inks: Vec<String>,
    /// Keywords with their values and lines.
    pub(crate) keywords: Vec<Keyword>,
}

/// One row.
#[derive(Debug)]
pub(crate) struct Row {
    pub(crate) line: usize,
    pub(crate) cells: Vec<String>,
}

/// A keyword with its value.
#[derive(Debug)]
pub(crate) struct Keyword {
    pub(crate) name: String,
    pub(crate) value: String,
    pub(crate) line: usize,
}

impl Table {
    /// The value of a keyword, whatever its case.
    pub(crate) fn keyword(&self, name: &str) -> Option<&Keyword> {
        self.keywords.iter().find(|keyword| keyword.name.eq_ignore_ascii_case(name))
    }
}
