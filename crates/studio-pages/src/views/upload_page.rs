use maud::{Markup, html};

use super::frame::Frame;

/// The page on which pictures are chosen.
pub(crate) struct UploadPage<'a> {
    pub(crate) frame: Frame<'a>,
    /// Largest file.
    pub(crate) most_bytes: u64,
    /// Most pixels of a picture.
    pub(crate) most_pixels: u64,
    /// Whether the studio keeps the file after its colours are counted.
    pub(crate) picture_kept: bool,
    /// Where script sends pictures and asks for them: of a visitor, or of the studio.
    pub(crate) uploads: &'static str,
}

impl UploadPage<'_> {
    /// Where a visitor's script sends pictures.
    pub(crate) const PUBLIC_UPLOADS: &'static str = "/api/v1/public/uploads";
    /// Where the studio's script sends them.
    pub(crate) const STUDIO_UPLOADS: &'static str = "/api/v1/uploads";

    pub(crate) fn document(&self) -> String {
        let content = html! {
            h1 { "What will this picture cost to print?" }
            p.lead {
                "Choose a picture. You see what ink it takes and what its print costs, at any size and on "
                "several ink sets, before anything is printed."
            }
            (self.form())
            section aria-labelledby="how" {
                div.margin { h2 id="how" { "What happens to it" } }
                div.body { (self.steps()) }
            }
        };
        self.frame.document("Price of a print", &content)
    }

    fn form(&self) -> Markup {
        html! {
            form method="post" action="/upload" enctype="multipart/form-data"
                data-uploads=(self.uploads) data-own="/api/v1/uploads" data-shared="/api/v1/shared"
                data-most-bytes=(self.most_bytes) {
                div.drop {
                    label for="file" { "Drop pictures here, or choose them" }
                    input id="file" type="file" name="file" required aria-describedby="limits"
                        accept="image/*,.tif,.tiff,.pdf,.svg,.pnm,.ppm,.pgm,.pbm";
                    p.hint id="limits" {
                        "JPEG, PNG, TIFF, WebP, GIF, BMP, PNM, PDF or SVG, up to " (megabytes(self.most_bytes))
                        " and " (megapixels(self.most_pixels)) " each. "
                        (kept(self.picture_kept))
                    }
                }
                ul.uploads hidden aria-label="Chosen pictures" {}
                p { button type="submit" { "Work out the price" } }
            }
        }
    }

    fn steps(&self) -> Markup {
        html! {
            ol.steps {
                li {
                    "Its colours are counted. " (kept(self.picture_kept))
                    " What is kept is the count, a small preview and the file's name."
                }
                li {
                    "A model of ink on paper predicts how much of each ink those colours take, and whether "
                    "the ink sets can print them."
                }
                li {
                    "You get a page of your own. Change size, paper or ink set there as often as you like; "
                    "whoever has its link sees the same."
                }
            }
        }
    }
}

/// Whether a picture's file is kept.
pub(crate) const fn kept(kept: bool) -> &'static str {
    if kept {
        "The studio keeps the file for printing."
    } else {
        "The file is deleted as soon as its colours are counted."
    }
}

#[expect(clippy::cast_precision_loss, reason = "a limit is shown to three digits")]
fn megabytes(bytes: u64) -> String {
    format!("{:.0} MB", bytes as f64 / 1e6)
}

#[expect(clippy::cast_precision_loss, reason = "a limit is shown to three digits")]
fn megapixels(pixels: u64) -> String {
    format!("{:.0} megapixels", pixels as f64 / 1e6)
}
