use std::fs;

use inkfathom_tests::repository;

pub(crate) const SHORE: &str = "testimages/photographs/shore.png";
pub(crate) const TULIPS: &str = "testimages/photographs/tulips.png";
pub(crate) const BLOSSOM: &str = "testimages/photographs/blossom-high-key.jpg";
pub(crate) const BRUSHES: &str = "testimages/photographs/brushes-saturated.jpg";
pub(crate) const WHITE_PAGE: &str = "testimages/edge/white-page.png";
pub(crate) const TEXT_NAMED_LIKE_A_PICTURE: &str = "testimages/bad/text-named.png";

/// All pictures of a folder of `testimages` by path from the repository's root, in order.
pub(crate) fn pictures_in(folder: &str) -> Vec<String> {
    let entries = fs::read_dir(repository().join("testimages").join(folder)).unwrap();
    let mut names: Vec<String> = entries
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| [".jpg", ".png", ".tif"].iter().any(|ending| name.ends_with(ending)))
        .map(|name| format!("testimages/{folder}/{name}"))
        .collect();
    names.sort();
    names
}
