use std::sync::Arc;

use arrow_array::builder::{
    BooleanBuilder, Decimal128Builder, Float64Builder, ListBuilder, StringBuilder, UInt32Builder,
};
use arrow_array::{ArrayRef, RecordBatch};
use arrow_schema::{DataType, Field, Schema};
use parquet::arrow::ArrowWriter;
use parquet::errors::ParquetError;
use parquet::file::metadata::KeyValue;
use parquet::file::properties::WriterProperties;
use serde::Serialize;
use serde_json::{Map, Value};

use crate::row_forms::RowFacts;

/// What a column of a table holds. An empty text is no value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Text,
    /// A number in the unit that the column's name carries.
    Number,
    /// Numbers in one cell, parted by semicolons in text forms.
    Numbers,
    Count,
    Flag,
    /// Money, exact: a decimal text elsewhere.
    Amount,
}

/// A column: its name, with the unit, and what it holds.
pub(crate) type Column = (&'static str, Kind);

/// Digits of an amount, and those behind the point: more than any currency's minor unit has.
const AMOUNT_DIGITS: u8 = 20;
const AMOUNT_PLACES: i8 = 4;

/// Writes rows as a Parquet file with Arrow's types. `facts` go to the file's metadata.
///
/// # Errors
///
/// What the writer refuses; in practice nothing, as it writes to memory.
pub(crate) fn parquet<R: Serialize>(
    columns: &[Column],
    rows: impl Iterator<Item = R>,
    facts: &RowFacts<'_>,
) -> Result<Vec<u8>, ParquetError> {
    let rows: Vec<Map<String, Value>> = rows.filter_map(|row| fields(&row)).collect();
    let arrays = columns.iter().map(|column| array(*column, &rows)).collect();
    let described = columns.iter().map(|(name, kind)| Field::new(*name, kind.data_type(), true));
    let schema = Arc::new(Schema::new(described.collect::<Vec<_>>()));
    let batch = RecordBatch::try_new(Arc::clone(&schema), arrays)?;
    let facts = facts.named().map(|(key, value)| KeyValue::new(key.to_owned(), value)).to_vec();
    let properties = WriterProperties::builder().set_key_value_metadata(Some(facts)).build();
    let mut writer = ArrowWriter::try_new(Vec::new(), schema, Some(properties))?;
    writer.write(&batch)?;
    writer.into_inner()
}

impl Kind {
    fn data_type(self) -> DataType {
        match self {
            Self::Text => DataType::Utf8,
            Self::Number => DataType::Float64,
            Self::Numbers => DataType::new_list(DataType::Float64, true),
            Self::Count => DataType::UInt32,
            Self::Flag => DataType::Boolean,
            Self::Amount => DataType::Decimal128(AMOUNT_DIGITS, AMOUNT_PLACES),
        }
    }
}

/// A row by the names of its fields.
fn fields(row: &impl Serialize) -> Option<Map<String, Value>> {
    match serde_json::to_value(row) {
        Ok(Value::Object(fields)) => Some(fields),
        _ => None,
    }
}

fn array((name, kind): Column, rows: &[Map<String, Value>]) -> ArrayRef {
    let values = rows.iter().map(|row| row.get(name));
    let texts = values.clone().map(|value| value?.as_str().filter(|text| !text.is_empty()));
    match kind {
        Kind::Text => {
            let mut builder = StringBuilder::new();
            texts.for_each(|text| builder.append_option(text));
            Arc::new(builder.finish())
        }
        Kind::Number => {
            let mut builder = Float64Builder::new();
            values.for_each(|value| builder.append_option(value.and_then(Value::as_f64)));
            Arc::new(builder.finish())
        }
        Kind::Numbers => {
            let mut builder = ListBuilder::new(Float64Builder::new());
            for text in texts {
                let numbers = text.into_iter().flat_map(|text| text.split("; "));
                numbers.for_each(|number| builder.values().append_option(number.parse().ok()));
                builder.append(text.is_some());
            }
            Arc::new(builder.finish())
        }
        Kind::Count => {
            let mut builder = UInt32Builder::new();
            let counts = values.map(|value| u32::try_from(value?.as_u64()?).ok());
            counts.for_each(|count| builder.append_option(count));
            Arc::new(builder.finish())
        }
        Kind::Flag => {
            let mut builder = BooleanBuilder::new();
            values.for_each(|value| builder.append_option(value.and_then(Value::as_bool)));
            Arc::new(builder.finish())
        }
        Kind::Amount => {
            let mut builder = Decimal128Builder::new()
                .with_data_type(DataType::Decimal128(AMOUNT_DIGITS, AMOUNT_PLACES));
            texts.for_each(|text| builder.append_option(text.and_then(ten_thousandths)));
            Arc::new(builder.finish())
        }
    }
}

/// A decimal text as a whole number of its fourth place.
fn ten_thousandths(text: &str) -> Option<i128> {
    let (sign, digits) = text.strip_prefix('-').map_or((1, text), |digits| (-1, digits));
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    let places = usize::try_from(AMOUNT_PLACES).ok()?;
    (part.len() <= places).then_some(())?;
    let number: i128 = format!("{whole}{part:0<places$}").parse().ok()?;
    Some(sign * number)
}

/// The names of columns as the header of a CSV form has them.
#[cfg(test)]
pub(crate) fn names(columns: &[Column]) -> String {
    columns.iter().map(|(name, _)| *name).collect::<Vec<_>>().join(",")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_exact_and_those_with_more_places_are_left_out() {
        for (text, number) in [
            ("12.5", Some(125_000)),
            ("-0.05", Some(-500)),
            ("7", Some(70_000)),
            ("0.12345", None),
            ("x", None),
        ] {
            assert_eq!(ten_thousandths(text), number, "{text}");
        }
    }
}
