use maud::{Markup, html};

use super::frame::{Frame, Place};

/// The page on which pictures are chosen.
pub(crate) struct UploadPage<'a> {
    pub(crate) frame: Frame<'a>,
    /// Largest file.
    pub(crate) most_bytes: u64,
    /// Most pixels of a picture.
    pub(crate) most_pixels: u64,
    /// Whether the studio keeps the file after its colours are counted.
    pub(crate) picture_kept: bool,
}

/// Where script sends a picture, asks for it and goes on to.
struct Way {
    uploads: &'static str,
    asks: &'static str,
    /// The key of the answer by which the picture is then called.
    known_by: &'static str,
    leads_to: &'static str,
}

const VISITORS: Way = Way {
    uploads: "/api/v1/public/uploads",
    asks: "/api/v1/shared",
    known_by: "token",
    leads_to: "/p",
};
const STUDIOS: Way = Way {
    uploads: "/api/v1/uploads",
    asks: "/api/v1/uploads",
    known_by: "id",
    leads_to: "/studio/uploads",
};

impl UploadPage<'_> {
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
        let way = if self.frame.place == Place::Public { &VISITORS } else { &STUDIOS };
        html! {
            form method="post" action="/upload" enctype="multipart/form-data"
                data-uploads=(way.uploads) data-asks=(way.asks) data-known-by=(way.known_by)
                data-leads-to=(way.leads_to) data-most-bytes=(self.most_bytes) {
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
                div.field.narrow {
                    label for="width" { "Width of the print, if you know it" }
                    input id="width" type="text" name="width" autocomplete="off" aria-describedby="width-hint";
                    p.hint id="width-hint" { "Such as 60 cm or 24 in. Empty takes the size that the file states." }
                }
                ul.uploads hidden {}
                p { button type="submit" { "Work out the price" } }
            }
        }
    }

    fn steps(&self) -> Markup {
        html! {
            ol.steps {
                li {
                    "Its colours are counted; then the file is "
                    (if self.picture_kept { "kept for printing" } else { "deleted" })
                    ". The count stays, with a small preview and the file's name; prices are worked out from it."
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

#[cfg(test)]
mod tests {
    use super::*;

    fn document(picture_kept: bool) -> String {
        let frame =
            Frame { studio: "Farrowsay <Print> Studio", public: true, place: Place::Public };
        let (most_bytes, most_pixels) = (50_000_000, 200_000_000);
        UploadPage { frame, most_bytes, most_pixels, picture_kept }.document()
    }

    #[test]
    fn the_page_says_whether_the_file_stays() {
        assert!(document(false).contains("deleted as soon as its colours are counted"));
        assert!(!document(false).contains("keeps the file"));
        assert!(document(true).contains("keeps the file for printing"));
        assert!(!document(true).contains("deleted"));
    }

    #[test]
    fn the_limits_stand_beside_the_field() {
        let page = document(false);
        assert!(page.contains("up to 50 MB and 200 megapixels each"), "{page}");
        assert!(page.contains("data-most-bytes=\"50000000\""));
    }

    #[test]
    fn names_are_escaped_and_nothing_stands_inline() {
        let page = document(false);
        assert!(page.contains("Farrowsay &lt;Print&gt; Studio") && !page.contains("<Print>"));
        for inline in ["<style", "style=\"", "onclick", "javascript:"] {
            assert!(!page.contains(inline), "{inline}");
        }
        assert_eq!(
            page.matches("<script").count(),
            page.matches("<script type=\"module\" src=\"/assets/").count()
        );
    }
}
