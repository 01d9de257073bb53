use estimating::Assumption;
use pricing::{Payback, PriceList, Routing};

use crate::html::{payback_page, routing_page};
#[cfg(feature = "parquet")]
use crate::parquet_form;
use crate::row_forms::{self, RowFacts};
use crate::wire_monthly::{PaybackDocument, RoutingDocument};
use crate::{Letter, from_monthly, monthly_csv, monthly_tables};

/// What reports on a month's jobs tell beside the figures.
#[derive(Clone, Debug)]
pub struct MonthlyContext {
    /// The price list.
    pub price_list: PriceList,
    /// When a set holds a job's colours, in words.
    pub demand: String,
    /// What the estimates of the jobs rest on, each once.
    pub assumptions: Vec<Assumption>,
    /// Jobs that could not be estimated, and why.
    pub failed: Vec<(String, String)>,
}

/// A month's routing, ready to be written in any form.
#[derive(Clone, Debug)]
pub struct RoutingReport {
    document: RoutingDocument,
}

/// A payback, ready to be written in any form.
#[derive(Clone, Debug)]
pub struct PaybackReport {
    document: PaybackDocument,
}

impl RoutingReport {
    /// Puts a routing into words; `program` is the program's name and version.
    #[must_use]
    pub fn new(program: &str, routing: &Routing, context: &MonthlyContext) -> Self {
        Self { document: from_monthly::routing_document(program, routing, context) }
    }

    /// The serialised form.
    #[must_use]
    pub const fn document(&self) -> &RoutingDocument {
        &self.document
    }

    /// JSON, version [`crate::wire_monthly::VERSION`].
    ///
    /// # Errors
    ///
    /// None in practice: the form holds only finite numbers and texts.
    pub fn to_json(&self) -> serde_json::Result<String> {
        serde_json::to_string_pretty(&self.document).map(|json| json + "\n")
    }

    /// CSV: a row for each job and ink set, then the totals.
    #[must_use]
    pub fn to_csv(&self) -> String {
        row_forms::csv(monthly_csv::routing(&self.document))
    }

    /// JSON lines: the rows of the CSV form, each a document of its own.
    ///
    /// # Errors
    ///
    /// None in practice: the form holds only finite numbers and texts.
    pub fn to_json_lines(&self) -> serde_json::Result<String> {
        row_forms::json_lines(&self.facts(), monthly_csv::routing(&self.document))
    }

    /// Parquet: the rows of the CSV form, with Arrow's types.
    ///
    /// # Errors
    ///
    /// None in practice: it is written to memory.
    #[cfg(feature = "parquet")]
    pub fn to_parquet(&self) -> Result<Vec<u8>, parquet::errors::ParquetError> {
        parquet_form::parquet(
            &monthly_csv::ROUTING_COLUMNS,
            monthly_csv::routing(&self.document),
            &self.facts(),
        )
    }

    fn facts(&self) -> RowFacts<'_> {
        let RoutingDocument { version, kind, disclaimer, ref program, .. } = self.document;
        RowFacts { version, kind, program, disclaimer }
    }

    /// A page that can be mailed or printed.
    #[must_use]
    pub fn to_html(&self, letter: &Letter) -> String {
        routing_page(&self.document, letter)
    }

    /// Tables for a terminal.
    #[must_use]
    pub fn to_table(&self) -> String {
        monthly_tables::routing(&self.document)
    }
}

impl PaybackReport {
    /// Puts a payback into words; `program` is the program's name and version.
    #[must_use]
    pub fn new(program: &str, payback: &Payback, context: &MonthlyContext) -> Self {
        Self { document: from_monthly::payback_document(program, payback, context) }
    }

    /// The serialised form.
    #[must_use]
    pub const fn document(&self) -> &PaybackDocument {
        &self.document
    }

    /// JSON, version [`crate::wire_monthly::VERSION`].
    ///
    /// # Errors
    ///
    /// None in practice: the form holds only finite numbers and texts.
    pub fn to_json(&self) -> serde_json::Result<String> {
        serde_json::to_string_pretty(&self.document).map(|json| json + "\n")
    }

    /// CSV: a row for each change of the sensitivity table, the first of which changes nothing.
    #[must_use]
    pub fn to_csv(&self) -> String {
        row_forms::csv(monthly_csv::payback(&self.document))
    }

    /// JSON lines: the rows of the CSV form, each a document of its own.
    ///
    /// # Errors
    ///
    /// None in practice: the form holds only finite numbers and texts.
    pub fn to_json_lines(&self) -> serde_json::Result<String> {
        row_forms::json_lines(&self.facts(), monthly_csv::payback(&self.document))
    }

    /// Parquet: the rows of the CSV form, with Arrow's types.
    ///
    /// # Errors
    ///
    /// None in practice: it is written to memory.
    #[cfg(feature = "parquet")]
    pub fn to_parquet(&self) -> Result<Vec<u8>, parquet::errors::ParquetError> {
        parquet_form::parquet(
            &monthly_csv::PAYBACK_COLUMNS,
            monthly_csv::payback(&self.document),
            &self.facts(),
        )
    }

    fn facts(&self) -> RowFacts<'_> {
        let PaybackDocument { version, kind, disclaimer, ref program, .. } = self.document;
        RowFacts { version, kind, program, disclaimer }
    }

    /// A page that can be mailed or printed.
    #[must_use]
    pub fn to_html(&self, letter: &Letter) -> String {
        payback_page(&self.document, letter)
    }

    /// Tables for a terminal.
    #[must_use]
    pub fn to_table(&self) -> String {
        monthly_tables::payback(&self.document)
    }
}
