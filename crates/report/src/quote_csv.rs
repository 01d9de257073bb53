use serde::Serialize;

#[cfg(feature = "parquet")]
use crate::parquet_form::{Column, Kind};
use crate::wire_quote::{FailedPicture, QuoteDocument, QuoteLine, QuotedPicture};

/// One row: a line, a picture or a failed file.
#[derive(Default, Serialize)]
struct Row<'document> {
    row: &'static str,
    name: &'document str,
    basis: &'document str,
    copies: Option<u32>,
    width_mm: Option<f64>,
    height_mm: Option<f64>,
    area_m2: Option<f64>,
    ink_ml: Option<f64>,
    ink_ml_low: Option<f64>,
    ink_ml_high: Option<f64>,
    amount: &'document str,
    per_copy: &'document str,
    per_m2: &'document str,
    currency: &'document str,
    error: &'document str,
}

/// The columns of a row with what they hold, for typed forms.
#[cfg(feature = "parquet")]
pub(crate) const COLUMNS: [Column; 15] = {
    use Kind::{Amount, Count, Number, Text};
    [
        ("row", Text),
        ("name", Text),
        ("basis", Text),
        ("copies", Count),
        ("width_mm", Number),
        ("height_mm", Number),
        ("area_m2", Number),
        ("ink_ml", Number),
        ("ink_ml_low", Number),
        ("ink_ml_high", Number),
        ("amount", Amount),
        ("per_copy", Amount),
        ("per_m2", Amount),
        ("currency", Text),
        ("error", Text),
    ]
};

/// The rows of a document. Sums are rows of their own, "sum" in place of "line".
pub(crate) fn rows(document: &QuoteDocument) -> impl Iterator<Item = impl Serialize> {
    let currency = document.currency;
    let pictures = document.pictures.iter().map(|it| of_picture(it, currency));
    let lines = document.lines.iter().map(|it| of_line(it, currency));
    pictures.chain(lines).chain(document.failed.iter().map(of_failed))
}

fn of_picture<'document>(
    picture: &'document QuotedPicture,
    currency: &'document str,
) -> Row<'document> {
    Row {
        row: "picture",
        name: &picture.file,
        copies: Some(picture.copies),
        width_mm: Some(picture.width_mm),
        height_mm: Some(picture.height_mm),
        area_m2: Some(picture.area_m2),
        ink_ml: Some(picture.ink_ml),
        ink_ml_low: Some(picture.ink_ml_low),
        ink_ml_high: Some(picture.ink_ml_high),
        amount: &picture.net,
        per_copy: &picture.net_per_copy,
        per_m2: &picture.net_per_m2,
        currency,
        ..Row::default()
    }
}

fn of_line<'document>(line: &'document QuoteLine, currency: &'document str) -> Row<'document> {
    Row {
        row: if line.is_sum { "sum" } else { "line" },
        name: &line.label,
        basis: &line.basis,
        amount: &line.amount,
        currency,
        ..Row::default()
    }
}

fn of_failed(failed: &FailedPicture) -> Row<'_> {
    Row { row: "failed", name: &failed.file, error: &failed.error, ..Row::default() }
}

#[cfg(all(test, feature = "parquet"))]
mod tests {
    use super::*;
    use crate::{parquet_form::names, row_forms};

    #[test]
    fn typed_columns_are_those_of_the_csv_form_in_its_order() {
        let csv = row_forms::csv(std::iter::once(Row::default()));
        assert_eq!(names(&COLUMNS), csv.lines().next().unwrap());
    }
}
