use csv::Writer;
use serde::Serialize;
use serde_json::{Map, Value};

/// What every row form says of its whole.
pub(crate) struct RowFacts<'document> {
    pub(crate) version: u32,
    pub(crate) kind: &'static str,
    pub(crate) program: &'document str,
    pub(crate) disclaimer: &'static str,
}

/// The rows as a text with a header.
pub(crate) fn csv<R: Serialize>(rows: impl Iterator<Item = R>) -> String {
    let mut writer = Writer::from_writer(Vec::new());
    for row in rows {
        // Writing to memory can't fail.
        let _ = writer.serialize(row);
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}

/// The rows as JSON, one a line, each with the facts; fields without a value are left out.
pub(crate) fn json_lines<R: Serialize>(
    facts: &RowFacts<'_>,
    rows: impl Iterator<Item = R>,
) -> serde_json::Result<String> {
    let mut text = String::new();
    for row in rows {
        let mut line = Map::new();
        line.insert("version".to_owned(), facts.version.into());
        line.insert("kind".to_owned(), facts.kind.into());
        line.insert("program".to_owned(), facts.program.into());
        line.insert("disclaimer".to_owned(), facts.disclaimer.into());
        if let Value::Object(fields) = serde_json::to_value(row)? {
            let said = |value: &Value| !value.is_null() && value.as_str() != Some("");
            line.extend(fields.into_iter().filter(|(_, value)| said(value)));
        }
        text.push_str(&serde_json::to_string(&line)?);
        text.push('\n');
    }
    Ok(text)
}

/// The facts as a Parquet file's metadata.
#[cfg(feature = "parquet")]
impl RowFacts<'_> {
    pub(crate) fn named(&self) -> [(&'static str, String); 4] {
        [
            ("version", self.version.to_string()),
            ("kind", self.kind.to_owned()),
            ("program", self.program.to_owned()),
            ("disclaimer", self.disclaimer.to_owned()),
        ]
    }
}
