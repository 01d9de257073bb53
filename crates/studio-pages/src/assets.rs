use std::sync::LazyLock;

use report::page_parts;

/// A file that pages load. Its name changes with its content, so that browsers may keep it for
/// good.
pub(crate) struct Asset {
    /// The last part of its address.
    pub(crate) name: String,
    pub(crate) media_type: &'static str,
    pub(crate) content: String,
}

/// Where assets are found.
pub(crate) const FOLDER: &str = "/assets";

static STYLE: LazyLock<Asset> = LazyLock::new(|| {
    let own = include_str!("assets/studio.css");
    Asset::new("studio", "css", "text/css; charset=utf-8", [page_parts::STYLE, own].concat())
});

static SCRIPT: LazyLock<Asset> = LazyLock::new(|| {
    let script = include_str!("assets/studio.js").to_owned();
    Asset::new("studio", "js", "text/javascript; charset=utf-8", script)
});

impl Asset {
    fn new(stem: &str, ending: &str, media_type: &'static str, content: String) -> Self {
        let hash = blake3::hash(content.as_bytes()).to_hex();
        // Twelve digits tell editions of one file apart; nobody is kept out by them.
        let name = format!("{stem}-{}.{ending}", &hash.as_str()[..12]);
        Self { name, media_type, content }
    }

    /// The style sheet of all pages.
    pub(crate) fn style() -> &'static Self {
        &STYLE
    }

    /// The one script.
    pub(crate) fn script() -> &'static Self {
        &SCRIPT
    }

    /// The file of a name, in its present edition.
    pub(crate) fn named(name: &str) -> Option<&'static Self> {
        [Self::style(), Self::script()].into_iter().find(|asset| asset.name == name)
    }

    /// Its address.
    pub(crate) fn address(&self) -> String {
        format!("{FOLDER}/{}", self.name)
    }
}

#[cfg(test)]
mod tests {
    use super::Asset;

    #[test]
    fn a_file_is_found_by_the_name_of_its_present_content_alone() {
        for asset in [Asset::style(), Asset::script()] {
            let found = Asset::named(&asset.name).map(|found| found.content.len());
            assert_eq!(found, Some(asset.content.len()));
            assert_eq!(asset.address(), format!("/assets/{}", asset.name));
        }
        assert!(Asset::named("studio.css").is_none());
        assert!(Asset::named("../Cargo.toml").is_none());
    }

    #[test]
    fn the_style_fetches_nothing() {
        let style = &Asset::style().content;
        assert!(!style.contains("url(") && !style.contains("@import") && !style.contains("http"));
    }
}
