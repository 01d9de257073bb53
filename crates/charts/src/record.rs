use crate::table::Table;

/// The measurement condition that the keywords state.
pub(crate) fn condition(table: &Table) -> Option<String> {
    const KEYWORDS: [&str; 3] = ["MEASUREMENT_CONDITION", "MEASUREMENT_MODE", "ILLUMINATION"];
    let words = KEYWORDS.iter().filter_map(|name| table.keyword(name));
    words.flat_map(|keyword| keyword.value.split_whitespace()).find_map(|word| {
        let word = word.trim_matches(|c: char| !c.is_ascii_alphanumeric()).to_ascii_uppercase();
        ["M0", "M1", "M2", "M3"].contains(&word.as_str()).then_some(word)
    })
}

/// What the keywords say lay behind the sheet.
pub(crate) fn backing(table: &Table) -> Option<String> {
    let stated = table.keyword("SAMPLE_BACKING")?.value.to_ascii_lowercase();
    ["white", "black", "self"].into_iter().find(|word| stated.contains(word)).map(str::to_owned)
}

/// What the file calls itself.
pub(crate) fn title(table: &Table) -> Option<String> {
    const KEYWORDS: [&str; 3] = ["FILE_DESCRIPTOR", "DESCRIPTOR", "TARGET_TYPE"];
    let stated = KEYWORDS.iter().find_map(|name| table.keyword(name));
    stated.map(|keyword| keyword.value.trim().to_owned()).filter(|title| !title.is_empty())
}
