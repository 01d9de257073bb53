use std::fs;
use std::path::Path;

use inkset::nearest_name;
use pricing::{PriceList, builtin_price_list, builtin_price_list_names};

use crate::shell_error::ShellError;

/// Reads a price list by its built-in name or its path.
pub(crate) fn read_price_list(name: &str) -> Result<PriceList, ShellError> {
    if let Some(list) = builtin_price_list(name) {
        return Ok(list.parse()?);
    }
    let path = Path::new(name);
    let named_like_a_file = path.extension().is_some() || path.components().count() > 1;
    if !named_like_a_file && !path.exists() {
        return Err(unknown(name));
    }
    Ok(PriceList::parse(&read_text(path)?, name)?)
}

/// Reads the text of a list.
pub(crate) fn read_text(path: &Path) -> Result<String, ShellError> {
    fs::read_to_string(path)
        .map_err(|cause| ShellError::UnreadableList { path: path.to_owned(), cause })
}

/// Names the built-in list that was probably meant.
pub(crate) fn unknown(name: &str) -> ShellError {
    ShellError::UnknownPriceList {
        name: name.to_owned(),
        built_in: builtin_price_list_names().collect::<Vec<_>>().join(", "),
        nearest: nearest_name(name, builtin_price_list_names()).map(str::to_owned),
    }
}
