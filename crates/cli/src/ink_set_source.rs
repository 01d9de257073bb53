use std::fs;
use std::path::Path;

use inkset::{InkSet, builtin, builtin_names, nearest_name};

use crate::output::say;
use crate::shell_error::ShellError;

/// Reads an ink set by its built-in name or its path, and says what it notices.
pub(crate) fn read_ink_set(name: &str) -> Result<InkSet, ShellError> {
    let (text, origin) = ink_set_text(name)?;
    let parsed = InkSet::parse(&text, &origin)?;
    for notice in &parsed.notices {
        say("notice", &notice.to_string());
    }
    Ok(parsed.set)
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
