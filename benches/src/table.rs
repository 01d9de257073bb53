use std::fmt;

/// A table in Markdown: first column to the left, the others to the right.
pub(crate) struct Table(String);

impl Table {
    pub(crate) fn new<const COLUMNS: usize>(columns: [&str; COLUMNS]) -> Self {
        let rule = "--:|".repeat(COLUMNS - 1);
        Self(format!("| {} |\n|---|{rule}\n", columns.join(" | ")))
    }

    pub(crate) fn row<Cell: AsRef<str>>(&mut self, cells: impl IntoIterator<Item = Cell>) {
        for cell in cells {
            self.0 += "| ";
            self.0 += cell.as_ref();
            self.0.push(' ');
        }
        self.0 += "|\n";
    }
}

impl fmt::Display for Table {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_has_a_head_a_rule_and_rows() {
        let mut table = Table::new(["set", "ml"]);
        table.row(["five", "8.7"]);
        assert_eq!(table.to_string(), "| set | ml |\n|---|--:|\n| five | 8.7 |\n");
    }
}
