use std::num::NonZeroU32;
use std::path::PathBuf;
use std::str::FromStr;

use clap::{Args, ValueEnum};
use intake::{Limits, Opening, PageBox, Polarity};
use units::DotsPerInch;

/// How picture files are read.
#[derive(Debug, Args)]
#[command(next_help_heading = "Reading pictures")]
pub(crate) struct PictureOptions {
    /// Pages of a PDF or TIFF file, for example 2, 1-3,5 or 4-
    #[arg(long, value_name = "PAGES", default_value = "1")]
    pub(crate) page: PageRanges,
    /// ICC profile of pictures that bring none: RGB, gray or CMYK, for pictures of its kind
    #[arg(long, value_name = "PATH")]
    pub(crate) assume_profile: Option<PathBuf>,
    /// Which end of a CMYK JPEG file's scale is full ink
    #[arg(long, value_enum, value_name = "END", default_value_t)]
    pub(crate) jpeg_cmyk: JpegCmyk,
    /// Estimate damaged and cut pictures by the rows that can be read, and say how many are missing
    #[arg(long)]
    pub(crate) accept_damaged: bool,
    /// Pixels per inch at which PDF and SVG are drawn
    #[arg(long, value_name = "DPI", value_parser = resolution, default_value = "150")]
    pub(crate) draw_at: DotsPerInch,
    /// The box of a PDF page that is printed
    #[arg(long, value_enum, value_name = "BOX", default_value_t)]
    pub(crate) page_box: WhichBox,
    /// Most memory for a picture that can't be read row by row, in MiB
    #[arg(long, value_name = "MIB", default_value_t = DEFAULT_HELD_MIB)]
    pub(crate) most_memory: u32,
}

/// 512 MiB: a progressive JPEG file of 85 megapixels at full chroma, or a WebP picture of 130. Our
/// choice, because several files may be in work on a machine of 8 GB.
const DEFAULT_HELD_MIB: u32 = 512;

/// Ends of the scale.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(crate) enum JpegCmyk {
    /// As the file's marker and its pixels suggest
    #[default]
    Detect,
    /// 255 is full ink
    Upright,
    /// 0 is full ink
    Inverted,
}

/// Boxes of ISO 32000.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(crate) enum WhichBox {
    /// The finished page
    #[default]
    Trim,
    /// With the bleed that is cut off
    Bleed,
    /// What a viewer shows
    Crop,
    /// The whole sheet
    Media,
}

impl PictureOptions {
    /// The choices for one page.
    pub(crate) const fn opening(&self, page: NonZeroU32) -> Opening {
        Opening {
            page,
            polarity: match self.jpeg_cmyk {
                JpegCmyk::Detect => Polarity::Detected,
                JpegCmyk::Upright => Polarity::AsStored,
                JpegCmyk::Inverted => Polarity::Inverted,
            },
            accept_damaged: self.accept_damaged,
            drawn_at: self.draw_at,
            page_box: match self.page_box {
                WhichBox::Trim => PageBox::Trim,
                WhichBox::Bleed => PageBox::Bleed,
                WhichBox::Crop => PageBox::Crop,
                WhichBox::Media => PageBox::Media,
            },
        }
    }

    pub(crate) fn limits(&self) -> Limits {
        Limits { max_held_bytes: u64::from(self.most_memory) << 20, ..Limits::default() }
    }
}

fn resolution(text: &str) -> Result<DotsPerInch, String> {
    let number: f64 = text.parse().map_err(|_| format!("`{text}` is no number"))?;
    DotsPerInch::from_dots_per_inch(number).map_err(|fault| fault.to_string())
}

/// Pages in the order in which they were asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct PageRanges(Vec<(NonZeroU32, Option<NonZeroU32>)>);

impl PageRanges {
    /// The page to open first, which tells how many there are.
    pub(crate) fn first(&self) -> NonZeroU32 {
        self.0.first().map_or(NonZeroU32::MIN, |(from, _)| *from)
    }

    /// Whether it is one page, whatever file it is of.
    pub(crate) fn is_single(&self) -> bool {
        matches!(self.0[..], [(from, Some(to))] if from == to)
    }

    /// Every page of a file with so many.
    pub(crate) fn of(&self, pages: u32) -> Vec<NonZeroU32> {
        let range = |(from, to): &(NonZeroU32, Option<NonZeroU32>)| {
            from.get()..=to.map_or(pages, NonZeroU32::get)
        };
        self.0.iter().flat_map(range).filter_map(NonZeroU32::new).take(MOST_PAGES).collect()
    }
}

/// Most pages of one file in a run; our choice, above any book.
const MOST_PAGES: usize = 10_000;

impl FromStr for PageRanges {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let page = |text: &str| {
            text.trim()
                .parse::<NonZeroU32>()
                .map_err(|_| format!("`{text}` is no page; write pages such as 2, 1-3,5 or 4-"))
        };
        let range = |part: &str| match part.split_once('-') {
            None => page(part).map(|only| (only, Some(only))),
            Some((from, "")) => Ok((page(from)?, None)),
            Some((from, to)) => {
                let (from, to) = (page(from)?, page(to)?);
                if from > to {
                    return Err(format!("pages {from}-{to} run backwards; write {to}-{from}"));
                }
                Ok((from, Some(to)))
            }
        };
        text.split(',').map(range).collect::<Result<_, _>>().map(Self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pages(text: &str, of: u32) -> Vec<u32> {
        text.parse::<PageRanges>().unwrap().of(of).into_iter().map(NonZeroU32::get).collect()
    }

    #[test]
    fn ranges_and_single_pages_may_be_mixed() {
        assert_eq!(pages("2", 9), [2]);
        assert_eq!(pages("1-3,5", 9), [1, 2, 3, 5]);
        assert_eq!(pages("7-", 9), [7, 8, 9]);
    }

    #[test]
    fn what_is_no_page_is_told() {
        for (text, words) in
            [("0", "no page"), ("a", "no page"), ("3-1", "backwards"), ("", "no page")]
        {
            let fault = text.parse::<PageRanges>().unwrap_err();
            assert!(fault.contains(words), "{fault}");
        }
    }
}
