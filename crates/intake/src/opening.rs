use std::fmt;
use std::num::NonZeroU32;

use units::DotsPerInch;

/// What the caller may choose about the reading of a file; the defaults suit most files.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opening {
    /// Which page or picture of a file that holds several, counted from 1.
    pub page: NonZeroU32,
    /// How the device values of a CMYK JPEG file are taken.
    pub polarity: Polarity,
    /// Damage after the description: read what can be read and say what is missing.
    pub accept_damaged: bool,
    /// Pixels per inch at which pages and drawings without pixels of their own are drawn.
    pub drawn_at: DotsPerInch,
    /// The box of a PDF page that is printed.
    pub page_box: PageBox,
}

/// How the samples of a CMYK JPEG file become device values.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Polarity {
    /// As the file's marker and its pixels suggest, which is said.
    #[default]
    Detected,
    /// 0 is no ink.
    AsStored,
    /// 0 is full ink.
    Inverted,
}

/// The boxes of a page (ISO 32000-2, 14.11.2).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PageBox {
    /// The finished page after trimming; the crop box where a page states none.
    #[default]
    Trim,
    /// With the bleed that is cut off.
    Bleed,
    /// What a viewer shows.
    Crop,
    /// The whole sheet.
    Media,
}

impl fmt::Display for PageBox {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::Trim => "trim box",
            Self::Bleed => "bleed box",
            Self::Crop => "crop box",
            Self::Media => "media box",
        })
    }
}

/// Our choice: the mean colour of text and edges has settled, and an A0 page has 35 megapixels.
const DRAWN_AT: f64 = 150.0;

impl Default for Opening {
    fn default() -> Self {
        Self {
            page: NonZeroU32::MIN,
            polarity: Polarity::default(),
            accept_damaged: false,
            drawn_at: DotsPerInch::from_dots_per_inch(DRAWN_AT).unwrap_or(DotsPerInch::MIN),
            page_box: PageBox::default(),
        }
    }
}
