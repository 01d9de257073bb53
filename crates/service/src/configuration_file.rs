use strict_toml::{FormatFault, Table};

use crate::settings_table::{Kind, SETTINGS, Setting};

/// A setting's key, its value as a text, and the line where it stands.
pub(crate) type Stated = (&'static str, String, usize);

/// Reads a configuration file strictly: unknown keys and values of another kind are faults, all
/// told at once. Ranges are checked with the values of the other sources.
pub(crate) fn read_file(text: &str, path: &str) -> Result<Vec<Stated>, Vec<String>> {
    let keys: Vec<&str> = SETTINGS.iter().map(|setting| setting.key).collect();
    let reader = |root: &Table<'_, FormatFault, ()>| {
        root.only(&keys);
        Some(SETTINGS.iter().filter_map(|setting| value(root, setting)).collect::<Vec<_>>())
    };
    let read = strict_toml::read(text, path, reader);
    read.map(|read| read.value)
        .map_err(|problems| problems.iter().map(ToString::to_string).collect())
}

fn value(root: &Table<'_, FormatFault, ()>, setting: &Setting) -> Option<Stated> {
    let entry = root.get(setting.key)?;
    let text = match setting.kind {
        Kind::Truth => entry.truth()?.to_string(),
        Kind::Whole(..) => entry.digits()?.to_owned(),
        Kind::Names => {
            let names = entry.elements()?;
            let names: Vec<&str> =
                names.iter().map(strict_toml::Entry::text).collect::<Option<_>>()?;
            names.join(",")
        }
        Kind::Text | Kind::Address | Kind::Folder => entry.text()?.to_owned(),
    };
    Some((setting.key, text, entry.line()))
}
