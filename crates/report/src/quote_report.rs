use estimating::Assumption;
use pricing::Quote;

use crate::html::quote_page;
#[cfg(feature = "parquet")]
use crate::parquet_form;
use crate::row_forms::{self, RowFacts};
use crate::wire_quote::QuoteDocument;
use crate::{Letter, from_quote, quote_csv, quote_table};

/// A quote, ready to be written in any form.
#[derive(Clone, Debug)]
pub struct QuoteReport {
    document: QuoteDocument,
}

/// What a quote's report tells beside the quote.
#[derive(Clone, Debug)]
pub struct QuoteContext {
    /// Name of the substrate that the ink was estimated for.
    pub substrate: String,
    /// Name of the print mode.
    pub print_mode: String,
    /// What the estimates of the pictures rest on, each once.
    pub assumptions: Vec<Assumption>,
    /// Files that could not be priced, and why.
    pub failed: Vec<(String, String)>,
}

impl QuoteReport {
    /// Puts a quote into words; `program` is the program's name and version.
    #[must_use]
    pub fn new(program: &str, quote: &Quote, context: QuoteContext) -> Self {
        Self { document: from_quote::document(program, quote, context) }
    }

    /// The serialised form.
    #[must_use]
    pub const fn document(&self) -> &QuoteDocument {
        &self.document
    }

    /// JSON, version [`crate::wire_quote::VERSION`].
    ///
    /// # Errors
    ///
    /// None in practice: the form holds only finite numbers and texts.
    pub fn to_json(&self) -> serde_json::Result<String> {
        serde_json::to_string_pretty(&self.document).map(|json| json + "\n")
    }

    /// CSV: a row for each line, each picture and each failed file.
    #[must_use]
    pub fn to_csv(&self) -> String {
        row_forms::csv(quote_csv::rows(&self.document))
    }

    /// JSON lines: the rows of the CSV form, each a document of its own.
    ///
    /// # Errors
    ///
    /// None in practice: the form holds only finite numbers and texts.
    pub fn to_json_lines(&self) -> serde_json::Result<String> {
        row_forms::json_lines(&self.facts(), quote_csv::rows(&self.document))
    }

    /// Parquet: the rows of the CSV form, with Arrow's types.
    ///
    /// # Errors
    ///
    /// None in practice: it is written to memory.
    #[cfg(feature = "parquet")]
    pub fn to_parquet(&self) -> Result<Vec<u8>, parquet::errors::ParquetError> {
        parquet_form::parquet(&quote_csv::COLUMNS, quote_csv::rows(&self.document), &self.facts())
    }

    fn facts(&self) -> RowFacts<'_> {
        let QuoteDocument { version, kind, disclaimer, ref program, .. } = self.document;
        RowFacts { version, kind, program, disclaimer }
    }

    /// A page that can be mailed or printed. `for_customer` leaves out what the studio pays and
    /// earns.
    #[must_use]
    pub fn to_html(&self, letter: &Letter, for_customer: bool) -> String {
        quote_page(&self.document, letter, for_customer)
    }

    /// Tables for a terminal.
    #[must_use]
    pub fn to_table(&self) -> String {
        quote_table::tables(&self.document)
    }
}
