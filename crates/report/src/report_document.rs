use estimating::{Comparison, Estimate};

use crate::{
    Letter, PictureEvidence, comparison_table, csv_form, estimate_table, from_estimates,
    from_verdicts, html, json_lines, row_forms, wire,
};
#[cfg(feature = "parquet")]
use crate::{parquet_form, row_forms::RowFacts};

/// Estimates of several files, ready to be written in any form.
#[derive(Clone, Debug)]
pub struct Report {
    document: wire::Document,
    ink_sets: Vec<String>,
}

/// What became of one file.
#[derive(Clone, Debug)]
pub struct FileOutcome {
    /// The file as it was named.
    pub file: String,
    /// One estimate for each ink set, or why there is none.
    pub outcome: Result<Vec<Estimate>, String>,
}

impl Report {
    /// Puts together what became of some files on some ink sets.
    ///
    /// `program` is the program's name and version.
    #[must_use]
    pub fn new(program: &str, ink_sets: Vec<String>, outcomes: Vec<FileOutcome>) -> Self {
        let mut answered = Comparison { ink_sets: ink_sets.clone(), pictures: Vec::new() };
        let mut files = Vec::new();
        for FileOutcome { file, outcome } in outcomes {
            let status = match outcome {
                Err(error) => wire::Status::Failed { error },
                Ok(estimates) => {
                    let content_hash = estimates
                        .first()
                        .map(|first| first.content_hash.clone())
                        .unwrap_or_default();
                    let written = estimates.iter().map(from_estimates::estimate).collect();
                    answered.pictures.push((file.clone(), estimates));
                    let picture = answered.pictures.len() - 1;
                    let savings = from_estimates::savings(answered.savings_of_picture(picture));
                    let choice = from_verdicts::choice(&answered, picture);
                    wire::Status::Estimated { content_hash, estimates: written, savings, choice }
                }
            };
            files.push(wire::File { file, status });
        }
        let compared = ink_sets.len() > 1 && !answered.pictures.is_empty();
        let document = wire::Document {
            version: wire::VERSION,
            program: program.to_owned(),
            disclaimer: wire::DISCLAIMER,
            files,
            totals: if compared { from_estimates::totals(&answered) } else { Vec::new() },
            without_need_of_larger: from_verdicts::rest(&answered).filter(|_| compared),
            savings: if compared {
                from_estimates::savings(answered.savings())
            } else {
                Vec::new()
            },
        };
        Self { document, ink_sets }
    }

    /// The serialised form.
    #[must_use]
    pub const fn document(&self) -> &wire::Document {
        &self.document
    }

    /// JSON, version [`wire::VERSION`].
    ///
    /// # Errors
    ///
    /// None in practice: the form holds only finite numbers and texts.
    pub fn to_json(&self) -> serde_json::Result<String> {
        serde_json::to_string_pretty(&self.document).map(|json| json + "\n")
    }

    /// JSON lines: a document of one line for each file, and of a comparison one for all files
    /// together; each with the version [`wire::VERSION`].
    ///
    /// # Errors
    ///
    /// None in practice: the form holds only finite numbers and texts.
    pub fn to_json_lines(&self) -> serde_json::Result<String> {
        json_lines::json_lines(&self.document)
    }

    /// CSV: a row for each file, ink set and channel, and a row for each failed file.
    #[must_use]
    pub fn to_csv(&self) -> String {
        row_forms::csv(csv_form::rows(&self.document))
    }

    /// Parquet: the rows of the CSV form, with Arrow's types.
    ///
    /// # Errors
    ///
    /// None in practice: it is written to memory.
    #[cfg(feature = "parquet")]
    pub fn to_parquet(&self) -> Result<Vec<u8>, parquet::errors::ParquetError> {
        let facts = RowFacts {
            version: self.document.version,
            kind: "estimates",
            program: &self.document.program,
            disclaimer: self.document.disclaimer,
        };
        parquet_form::parquet(&csv_form::COLUMNS, csv_form::rows(&self.document), &facts)
    }

    /// A page to be mailed: one file that fetches nothing. `evidence` holds the proofs of each file
    /// in the order of the files; files without are described in figures alone.
    #[must_use]
    pub fn to_html(&self, letter: &Letter, evidence: &[Option<PictureEvidence>]) -> String {
        html::comparison_page(&self.document, letter, evidence)
    }

    /// Tables for a terminal.
    #[must_use]
    pub fn to_table(&self) -> String {
        if self.ink_sets.len() > 1 {
            comparison_table::tables(&self.document, &self.ink_sets)
        } else {
            estimate_table::tables(&self.document)
        }
    }
}
