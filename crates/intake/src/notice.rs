use std::fmt;

use units::DotsPerInch;

use crate::{FileFormat, PageBox, Resolution, ResolutionSource};

/// What a reader of the result should know about how the file was taken. Nothing here stops
/// the reading.
#[derive(Clone, Debug, PartialEq)]
pub enum Notice {
    /// A stated resolution is a placeholder or nonsense.
    ResolutionNotBelieved {
        /// Where it stands.
        stated_by: ResolutionSource,
        /// What it says.
        stated: String,
        /// The range that would have been believed, in dots per inch.
        believed: String,
    },
    /// Two parts of the file state different resolutions.
    ResolutionsDiffer {
        /// The one that counts.
        used: Resolution,
        /// The other.
        ignored: Resolution,
    },
    /// A profile is embedded but can't be put together.
    ProfileUnusable {
        /// Why.
        reason: String,
    },
    /// Colour is described by something else than a profile, and that is not interpreted.
    ColourDescriptionUnused {
        /// What describes it.
        by: &'static str,
    },
    /// Exif data is present and can't be read: orientation and resolution in it are lost.
    ExifUnreadable,
    /// The orientation is not one of the eight that exist.
    OrientationUnknown {
        /// What is stated.
        tag: u64,
    },
    /// Bytes follow the picture's end mark.
    TrailingBytes {
        /// What the file is.
        format: FileFormat,
        /// How many.
        bytes: u64,
    },
    /// Samples that are neither colour nor opacity are left out.
    ExtraSamplesDropped {
        /// How many of each pixel.
        samples: usize,
    },
    /// The file holds more than one picture or page; one is read.
    FurtherPictures {
        /// The one that is read, counted from 1.
        page: u32,
        /// How many there are, if that is known.
        pages: Option<u32>,
    },
    /// Nothing in a CMYK JPEG file says for sure which end of the scale is full ink.
    CmykPolarity {
        /// Whether 0 is taken as full ink.
        inverted: bool,
        /// Why.
        because: &'static str,
        /// Whether marker and pixels agree.
        agreed: bool,
    },
    /// A page or drawing has no pixels of its own.
    Drawn {
        /// Pixels per inch.
        at: DotsPerInch,
        /// What was drawn.
        what: &'static str,
    },
    /// Which box of a page is printed.
    PageBox {
        /// The box that was asked for.
        page_box: PageBox,
        /// Whether the page states it; the crop box otherwise.
        stated: bool,
    },
    /// CMYK and spot colours of a page arrive as RGB.
    DrawnInRgb,
    /// The picture can't be read row by row.
    HeldInMemory {
        /// How many bytes are held at once.
        bytes: u64,
        /// Why.
        reason: &'static str,
    },
}

impl fmt::Display for Notice {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::ResolutionNotBelieved { stated_by, stated, believed } => write!(
                out,
                "{stated_by} states {stated}, outside the {believed} that are believed; ignored"
            ),
            Self::ResolutionsDiffer { used, ignored } => {
                write!(out, "two resolutions are stated: {used} is used, {ignored} is not")
            }
            Self::ProfileUnusable { reason } => write!(
                out,
                "the embedded profile can't be used ({reason}); colours are read without it"
            ),
            Self::ColourDescriptionUnused { by } => write!(
                out,
                "colour is described by {by} without a profile, which is not interpreted; \
                 embed a profile if colours matter"
            ),
            Self::ExifUnreadable => out.write_str(
                "the Exif data can't be read; orientation and resolution stated there are lost",
            ),
            Self::OrientationUnknown { tag } => {
                write!(out, "the orientation {tag} is outside 1 to 8; the picture is taken upright")
            }
            Self::TrailingBytes { format, bytes } => {
                write!(out, "{bytes} bytes after the end of the {format} picture are ignored")
            }
            Self::ExtraSamplesDropped { samples } => write!(
                out,
                "{samples} samples of each pixel are neither colour nor opacity and are left out"
            ),
            Self::FurtherPictures { page, pages: Some(pages) } => {
                write!(out, "the file holds {pages} pages or pictures; number {page} is read")
            }
            Self::FurtherPictures { page, pages: None } => {
                write!(out, "the file holds further pictures; only number {page} is read")
            }
            Self::CmykPolarity { inverted, because, .. } => {
                let full = if *inverted { "0" } else { "255" };
                write!(out, "CMYK levels are read with {full} as full ink, because {because}")
            }
            Self::Drawn { at, what } => write!(out, "{what} is drawn at {at}"),
            Self::PageBox { page_box, stated: true } => {
                write!(out, "the {page_box} of the page is printed")
            }
            Self::PageBox { page_box, stated: false } => {
                write!(out, "the page states no {page_box}; its crop box is printed")
            }
            Self::DrawnInRgb => out.write_str(
                "the page is drawn in RGB: its CMYK and spot colours and its profiles are \
                 converted by the renderer, without overprint",
            ),
            Self::HeldInMemory { bytes, reason } => {
                write!(out, "the picture takes {} MiB at once, because it is {reason}", bytes >> 20)
            }
        }
    }
}

impl Notice {
    /// Whether it is worth knowing only, and casts no doubt on the result.
    #[must_use]
    pub const fn is_minor(&self) -> bool {
        matches!(
            self,
            Self::CmykPolarity { agreed: true, .. }
                | Self::Drawn { .. }
                | Self::DrawnInRgb
                | Self::PageBox { .. }
        )
    }
}

/// Holding less than this at once is not worth a word; our choice.
const WORTH_A_WORD: u64 = 256 << 20;

impl Notice {
    /// The notice of holding so many bytes, if they are many.
    pub(crate) fn held(bytes: u64, reason: &'static str) -> Option<Self> {
        (bytes >= WORTH_A_WORD).then_some(Self::HeldInMemory { bytes, reason })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_much_memory_is_worth_a_word() {
        assert!(Notice::held(WORTH_A_WORD - 1, "interlaced").is_none());
        let notice = Notice::held(WORTH_A_WORD, "interlaced").unwrap();
        assert_eq!(
            notice.to_string(),
            "the picture takes 256 MiB at once, because it is interlaced"
        );
    }
}
