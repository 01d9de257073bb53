use std::fmt;
use std::ops::RangeInclusive;

use units::DotsPerInch;

use crate::Notice;

/// Pixels per inch as the file states them, before its orientation is applied.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resolution {
    /// Along the stored rows.
    pub across: DotsPerInch,
    /// Along the stored columns.
    pub along: DotsPerInch,
    /// Where it stands.
    pub stated_by: ResolutionSource,
}

impl fmt::Display for Resolution {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.across == self.along {
            write!(out, "{} ({})", self.across, self.stated_by)
        } else {
            let Self { across, along, stated_by } = self;
            write!(out, "{across} across, {along} along ({stated_by})")
        }
    }
}

/// The part of a file that states its resolution.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ResolutionSource {
    /// X and Y density of the JFIF segment (ITU-T T.871).
    JfifDensity,
    /// XResolution and YResolution of Exif 2.32.
    Exif,
    /// The pHYs chunk of PNG.
    PngPhys,
    /// XResolution and YResolution of TIFF 6.0.
    TiffTags,
    /// The header of BMP pictures.
    BmpHeader,
    /// The size of a page or drawing, with the resolution at which it is drawn.
    PageSize,
}

impl ResolutionSource {
    /// Every part.
    pub const ALL: [Self; 6] = [
        Self::JfifDensity,
        Self::Exif,
        Self::PngPhys,
        Self::TiffTags,
        Self::BmpHeader,
        Self::PageSize,
    ];
}

impl fmt::Display for ResolutionSource {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::JfifDensity => "JFIF density",
            Self::Exif => "Exif",
            Self::PngPhys => "PNG pHYs",
            Self::TiffTags => "TIFF tags",
            Self::BmpHeader => "BMP header",
            Self::PageSize => "page size",
        })
    }
}

/// Resolutions that are believed, in dots per inch; our choice: banners seen from afar are
/// printed from about 10 (common practice, no source), film scanners state up to 12,800, and
/// placeholders such as 1 lie outside.
const BELIEVED: RangeInclusive<f64> = 5.0..=20_000.0;

/// Believes a stated resolution, or says why not.
pub(crate) fn believe(
    stated_by: ResolutionSource,
    across_per_inch: f64,
    along_per_inch: f64,
) -> Result<Resolution, Notice> {
    let believed = |value: f64| {
        let sensible = BELIEVED.contains(&value).then_some(value)?;
        DotsPerInch::from_dots_per_inch(sensible).ok()
    };
    match (believed(across_per_inch), believed(along_per_inch)) {
        (Some(across), Some(along)) => Ok(Resolution { across, along, stated_by }),
        _ => Err(Notice::ResolutionNotBelieved {
            stated_by,
            stated: format!("{across_per_inch} x {along_per_inch} dots per inch"),
            believed: format!("{} to {}", BELIEVED.start(), BELIEVED.end()),
        }),
    }
}

/// Uses the first statement that is believed; notices tell of the others.
pub(crate) fn choose(
    statements: impl IntoIterator<Item = Result<Resolution, Notice>>,
    notices: &mut Vec<Notice>,
) -> Option<Resolution> {
    let mut chosen: Option<Resolution> = None;
    for statement in statements {
        match (statement, chosen) {
            (Err(notice), _) => notices.push(notice),
            (Ok(first), None) => chosen = Some(first),
            (Ok(other), Some(used)) if !agree(used, other) => {
                notices.push(Notice::ResolutionsDiffer { used, ignored: other });
            }
            (Ok(_), Some(_)) => {}
        }
    }
    chosen
}

/// Statements agree within half a dot per inch: JFIF states whole numbers only.
fn agree(one: Resolution, other: Resolution) -> bool {
    let close =
        |a: DotsPerInch, b: DotsPerInch| (a.to_dots_per_inch() - b.to_dots_per_inch()).abs() <= 0.5;
    close(one.across, other.across) && close(one.along, other.along)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_placeholder_is_not_believed_and_the_notice_says_what_it_was() {
        let notice = believe(ResolutionSource::JfifDensity, 1.0, 1.0).unwrap_err();
        assert_eq!(
            notice.to_string(),
            "JFIF density states 1 x 1 dots per inch, outside the 5 to 20000 that are believed; \
             ignored"
        );
        assert!(believe(ResolutionSource::Exif, f64::NAN, 300.0).is_err());
    }

    #[test]
    fn the_first_believed_statement_is_used_and_a_contradiction_is_told() {
        let mut notices = Vec::new();
        let chosen = choose(
            [
                believe(ResolutionSource::JfifDensity, 300.0, 300.0),
                believe(ResolutionSource::Exif, 72.0, 72.0),
            ],
            &mut notices,
        );
        assert_eq!(chosen.unwrap().stated_by, ResolutionSource::JfifDensity);
        assert_eq!(
            notices[0].to_string(),
            "two resolutions are stated: 300 dpi (JFIF density) is used, 72 dpi (Exif) is not"
        );
    }

    #[test]
    fn sides_may_have_different_resolutions() {
        let resolution = believe(ResolutionSource::TiffTags, 204.0, 98.0).unwrap();
        assert_eq!(resolution.to_string(), "204 dpi across, 98 dpi along (TIFF tags)");
    }
}
