use service::{InkSetForm, PictureFacts, Problem, ProblemClass, Studio, UploadForm, WhatIf};

use crate::print_length::{LengthUnit, Side};
use crate::views::{Choice, SetChoice, WhatIfForm};
use crate::wish::{PolicyWish, Wish};

/// What the address asks, or, where it asks nothing, what was asked with the upload.
pub(crate) fn asked(query: &[(String, String)], upload: &UploadForm) -> Wish {
    if query.is_empty() {
        return wish_of(&upload.wish);
    }
    Wish::of_pairs(query.iter().map(|(name, value)| (name.as_str(), value.as_str())))
}

/// The wish of an upload in the terms of the form.
fn wish_of(what_if: &WhatIf) -> Wish {
    let (side, length) = match (&what_if.width, &what_if.height) {
        (None, Some(height)) => (Side::Height, Some(height)),
        (width, _) => (Side::Width, width.as_ref()),
    };
    let parts = length.map(|length| {
        let unit_at = length.find(|letter: char| letter.is_ascii_alphabetic());
        let (number, sign) = length.split_at(unit_at.unwrap_or(length.len()));
        (number.trim().to_owned(), LengthUnit::of_sign(sign.trim()).unwrap_or_default())
    });
    let copies = what_if.copies.get();
    Wish {
        unit: parts.as_ref().map(|(_, unit)| *unit).unwrap_or_default(),
        size: parts.map(|(number, _)| number),
        side,
        copies: (copies > 1).then(|| copies.to_string()),
        ink_sets: what_if.ink_set.clone(),
        substrate: what_if.substrate.clone(),
        print_mode: what_if.print_mode.clone(),
        policy: match (what_if.least_ink, &what_if.monochrome) {
            (Some(_), _) => PolicyWish::LeastInk,
            (None, Some(_)) => PolicyWish::Monochrome,
            (None, None) => PolicyWish::Usual,
        },
        price_list: what_if.price_list.clone(),
    }
}

/// The question to the service. Without a set in the wish it is about the studio's first.
///
/// # Errors
///
/// `Usage` for a value that can't be read.
pub(crate) fn question(studio: &Studio, wish: &Wish) -> Result<WhatIf, Problem> {
    let mut what_if = WhatIf::default();
    let length = wish.length();
    let (least_ink, monochrome) = match wish.policy {
        PolicyWish::Usual => ("", ""),
        PolicyWish::LeastInk => ("1", ""),
        PolicyWish::Monochrome => ("", "0,0"),
    };
    let text = |value: &Option<String>| value.clone().unwrap_or_default();
    for (name, value) in [
        (wish.side.name(), text(&length)),
        ("copies", text(&wish.copies)),
        ("substrate", text(&wish.substrate)),
        ("print_mode", text(&wish.print_mode)),
        ("price_list", text(&wish.price_list)),
        ("least_ink", least_ink.to_owned()),
        ("monochrome", monochrome.to_owned()),
    ] {
        what_if.take(name, &value)?;
    }
    what_if.ink_set = chosen_sets(studio, wish)?;
    Ok(what_if)
}

/// The names of the sets that are asked about, in the studio's order.
fn chosen_sets(studio: &Studio, wish: &Wish) -> Result<Vec<String>, Problem> {
    let offered = studio.ink_sets();
    let unknown = |name: &&String| !offered.iter().any(|set| set.name == **name);
    if let Some(name) = wish.ink_sets.iter().find(unknown) {
        let names: Vec<&str> = offered.iter().map(|set| set.name.as_str()).collect();
        let detail = format!("ink set `{name}` is not on offer ({})", names.join(", "));
        return Err(Problem::new(ProblemClass::InkSet, detail));
    }
    let chosen: Vec<String> = offered
        .iter()
        .filter(|set| wish.ink_sets.contains(&set.name))
        .map(|set| set.name.clone())
        .collect();
    if chosen.is_empty() {
        return Ok(offered.first().map(|set| set.name.clone()).into_iter().collect());
    }
    Ok(chosen)
}

/// The form with what is asked now. Price lists are for the studio alone.
pub(crate) fn form<'a>(
    studio: &'a Studio,
    action: &'a str,
    wish: &'a Wish,
    picture: &PictureFacts,
    chosen: &[String],
    for_studio: bool,
) -> WhatIfForm<'a> {
    let offered = studio.ink_sets();
    let first = offered.iter().find(|set| chosen.contains(&set.name)).or(offered.first());
    let (size, size_hint) = size_field(wish, picture);
    let lists = if for_studio { studio.price_lists() } else { &[] };
    WhatIfForm {
        action,
        size,
        size_hint,
        sets: offered.iter().map(|set| choice_of(set, chosen.contains(&set.name))).collect(),
        substrates: first.map_or_else(Vec::new, |set| choices(&set.substrates, &wish.substrate)),
        print_modes: first.map_or_else(Vec::new, |set| choices(&set.print_modes, &wish.print_mode)),
        price_lists: lists
            .iter()
            .map(|list| {
                let chosen = wish.price_list.as_ref().unwrap_or(&studio.settings().price_list);
                Choice { name: &list.name, chosen: *chosen == list.name }
            })
            .collect(),
        wish,
    }
}

fn choice_of(set: &InkSetForm, chosen: bool) -> SetChoice<'_> {
    let colours = set.inks.iter().filter_map(|ink| ink.srgb.as_deref()).collect();
    SetChoice { name: &set.name, title: &set.title, chosen, colours }
}

/// Names of which the wished one is chosen, or else the first.
fn choices<'a>(names: &'a [String], wished: &Option<String>) -> Vec<Choice<'a>> {
    let chosen = names.iter().position(|name| Some(name) == wished.as_ref()).unwrap_or(0);
    let choice = |(place, name): (usize, &'a String)| Choice { name, chosen: place == chosen };
    names.iter().enumerate().map(choice).collect()
}

/// What stands in the field of the size, and where it comes from.
fn size_field(wish: &Wish, picture: &PictureFacts) -> (String, String) {
    let stated = match wish.side {
        Side::Width => picture.stated_width_mm,
        Side::Height => picture.stated_height_mm,
    };
    match (&wish.size, stated) {
        (Some(size), _) => (
            size.replace(',', "."),
            "The other side follows from the picture. Empty means the file's own size.".to_owned(),
        ),
        (None, Some(millimetres)) => (
            wish.unit.write(millimetres),
            "From the file's own resolution. The other side follows from the picture.".to_owned(),
        ),
        (None, None) => (
            String::new(),
            "The file states no size. Type the one that you want; the other side follows."
                .to_owned(),
        ),
    }
}
