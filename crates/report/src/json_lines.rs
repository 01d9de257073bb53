use serde::Serialize;

use crate::wire;

/// A line: a document that stands for itself.
#[derive(Serialize)]
struct Line<'document, Part: Serialize> {
    version: u32,
    /// "file", or "all" for the last line of a comparison.
    kind: &'static str,
    program: &'document str,
    disclaimer: &'static str,
    #[serde(flatten)]
    part: Part,
}

/// What only all files together have.
#[derive(Serialize)]
struct AllFiles<'document> {
    totals: &'document [wire::Total],
    savings: &'document [wire::Saving],
    #[serde(skip_serializing_if = "Option::is_none")]
    without_need_of_larger: Option<&'document wire::Rest>,
}

/// Writes a document, a line for each file and, of a comparison, one for all together.
pub(crate) fn json_lines(document: &wire::Document) -> serde_json::Result<String> {
    let mut text = String::new();
    for file in &document.files {
        push(&mut text, document, "file", file)?;
    }
    if !document.totals.is_empty() {
        let all = AllFiles {
            totals: &document.totals,
            savings: &document.savings,
            without_need_of_larger: document.without_need_of_larger.as_ref(),
        };
        push(&mut text, document, "all", all)?;
    }
    Ok(text)
}

fn push(
    text: &mut String,
    document: &wire::Document,
    kind: &'static str,
    part: impl Serialize,
) -> serde_json::Result<()> {
    let line = Line {
        version: document.version,
        kind,
        program: &document.program,
        disclaimer: document.disclaimer,
        part,
    };
    text.push_str(&serde_json::to_string(&line)?);
    text.push('\n');
    Ok(())
}
