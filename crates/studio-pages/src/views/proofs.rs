use maud::{Markup, html};
use report::page_parts;

/// Where the pictures of a page are found, and how large they are.
pub(crate) struct ProofAddresses {
    /// The picture itself.
    pub(crate) intended: String,
    /// Name of a set, its proof, its map of differences from the picture.
    pub(crate) sets: Vec<(String, String, String)>,
    /// The map of differences between the first two sets.
    pub(crate) between: Option<String>,
    /// Sides of the pictures as they are shown, so that the page keeps still while they load.
    pub(crate) width: u32,
    pub(crate) height: u32,
}

impl ProofAddresses {
    /// The slider, the proofs and the maps.
    pub(crate) fn markup(&self) -> Markup {
        html! {
            section aria-labelledby="proofs" {
                h2 id="proofs" { "What it would look like" }
                p {
                    "Predicted prints, with the paper as white, in sRGB; colours that sRGB lacks are cut. "
                    span.no-print { "Move the line to compare two of them." }
                }
                (self.slider())
                div.proofs { @for (id, caption, address) in self.pictures() { (self.proof(&id, &caption, &address)) } }
                (page_parts::figure(&page_parts::difference_key(), "Colour differences in the maps."))
                div.proofs { @for (caption, address) in self.maps() { (self.proof("", &caption, &address)) } }
            }
        }
    }

    /// Two proofs over each other; script fills them in and shows it.
    fn slider(&self) -> Markup {
        let pictures = self.pictures();
        // Two prints where there are two, else the picture and its print.
        let (left, right) = if pictures.len() > 2 { (1, 2) } else { (0, 1) };
        html! {
            div.slide hidden {
                div.choices {
                    @for (id, label, chosen) in [("left", "Left", left), ("right", "Right", right)] {
                        div {
                            label for=(id) { (label) }
                            select id=(id) autocomplete="off" {
                                @for (place, (proof, caption, _)) in pictures.iter().enumerate() {
                                    option value=(proof) selected[place == chosen] {
                                        (caption.trim_start_matches("printed with "))
                                    }
                                }
                            }
                        }
                    }
                }
                div.pair {}
                label {
                    "Where the two meet"
                    input type="range" min="0" max="100" value="50" autocomplete="off";
                }
            }
        }
    }

    /// Name of the element, caption and address of the picture and each proof.
    fn pictures(&self) -> Vec<(String, String, String)> {
        let proofs = self.sets.iter().enumerate().map(|(place, (set, proof, _))| {
            (format!("proof-{place}"), format!("printed with {set}"), proof.clone())
        });
        [("intended".to_owned(), "the picture".to_owned(), self.intended.clone())]
            .into_iter()
            .chain(proofs)
            .collect()
    }

    fn maps(&self) -> Vec<(String, String)> {
        let against_picture = self.sets.iter().map(|(set, _, map)| {
            (format!("difference between the picture and its print with {set}"), map.clone())
        });
        let between = self.between.iter().map(|map| {
            let names: Vec<&str> = self.sets.iter().take(2).map(|set| set.0.as_str()).collect();
            (format!("difference between the prints with {}", names.join(" and ")), map.clone())
        });
        against_picture.chain(between).collect()
    }

    fn proof(&self, id: &str, caption: &str, address: &str) -> Markup {
        html! {
            figure {
                img id=[(!id.is_empty()).then_some(id)] src=(address) alt=(caption) width=(self.width)
                    height=(self.height) loading=[id.is_empty().then_some("lazy")] decoding="async";
                figcaption { (super::frame::capital(caption)) }
            }
        }
    }
}
