use std::fs;
use std::path::Path;

use inkset::{InkSet, ParsedInkSet, builtin, builtin_names, nearest_name};

use crate::shell_error::ShellError;

/// Reads an ink set by its built-in name or its path.
pub(crate) fn read_ink_set(name: &str) -> Result<ParsedInkSet, ShellError> {
    let (text, origin) = ink_set_text(name)?;
    Ok(InkSet::parse(&text, &origin)?)
}

/// The text of an ink set and the name by which messages call it.
fn ink_set_text(name: &str) -> Result<(String, String), ShellError> {
    if let Some(set) = builtin(name) {
        return Ok((set.text.to_owned(), format!("built-in set {name}")));
    }
    let path = Path::new(name);
    let named_like_a_file = path.extension().is_some() || path.components().count() > 1;
    if !named_like_a_file && !path.exists() {
        return Err(ShellError::UnknownInkSet {
            name: name.to_owned(),
            built_in: builtin_names().collect::<Vec<_>>().join(", "),
            nearest: nearest_name(name, builtin_names()).map(str::to_owned),
        });
    }
    match fs::read_to_string(path) {
        Ok(text) => Ok((text, name.to_owned())),
        Err(cause) => Err(ShellError::UnreadableInkSet { path: path.to_owned(), cause }),
    }
}
