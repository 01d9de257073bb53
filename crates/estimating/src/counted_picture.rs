use std::num::NonZeroUsize;

use census::{Backdrop, CensusTaker, ColourCensus, Preview, SourceColour};
use colour::{Alpha, ColourModel, Lab, Orientation, RasterFormat};
use icc::{IccError, RenderingIntent, SourceProfile, SourceTransform};
use intake::{ContentHash, FileFormat, Picture, Resolution};
use units::Length;

use crate::stored_shape::StoredShape;
use crate::{Assumption, EstimatingError};

/// A picture after its one reading: colours counted, preview made, facts kept.
pub struct CountedPicture {
    /// How the picture was stored.
    pub file_format: FileFormat,
    /// Size and layout of the stored rows.
    pub format: RasterFormat,
    /// How the stored rows are turned for viewing.
    pub orientation: Orientation,
    /// Resolution of the stored rows, where the file states one.
    pub resolution: Option<Resolution>,
    /// Hash of the file's bytes.
    pub content_hash: ContentHash,
    /// The colours.
    pub census: ColourCensus,
    /// The upright preview.
    pub preview: Preview,
    /// Which profile gives the colours their meaning.
    pub profile_use: ProfileUse,
    /// What had to be assumed while reading.
    pub assumptions: Vec<Assumption>,
    profile: SourceProfile,
}

/// Which profile gives a picture's numbers their meaning.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ProfileUse {
    /// The file's own.
    Embedded {
        /// The profile's description of itself.
        description: String,
    },
    /// sRGB, or gray with its tone curve, because the file brings none that can be used.
    Assumed,
}

impl CountedPicture {
    /// Reads an opened picture in one pass.
    ///
    /// `paper` is the paper's ICC-absolute colour under absolute colorimetric rendering, where
    /// transparent parts show it; otherwise transparency shows media white. `threads` decode and
    /// count; the result does not depend on their number.
    ///
    /// # Errors
    ///
    /// Whatever stops the reading: see [`intake::IntakeError`] and [`census::CensusError`].
    pub fn count(
        mut picture: Picture,
        paper: Option<Lab>,
        threads: NonZeroUsize,
    ) -> Result<Self, EstimatingError> {
        let mut assumptions: Vec<Assumption> =
            picture.notices.iter().map(Assumption::warning).collect();
        let model = picture.format.model;
        let (profile, profile_use) =
            source_profile(picture.profile.as_deref(), model, &mut assumptions);
        assumptions.extend(transparency(picture.format.alpha, paper));
        let taker = CensusTaker {
            orientation: picture.orientation,
            backdrop: backdrop(&profile, paper)?,
            threads,
        };
        let taken = taker.take(picture.rows.as_mut())?;
        for damage in picture.rows.damage() {
            assumptions.push(Assumption::warning(&damage.detail));
        }
        Ok(Self {
            file_format: picture.file_format,
            format: picture.format,
            orientation: picture.orientation,
            resolution: picture.resolution,
            content_hash: picture.content_hash,
            census: taken.census,
            preview: taken.preview,
            profile_use,
            assumptions,
            profile,
        })
    }

    /// The picture's source profile.
    #[must_use]
    pub const fn profile(&self) -> &SourceProfile {
        &self.profile
    }

    /// Width and height in pixels, upright.
    #[must_use]
    pub const fn upright_pixels(&self) -> (u32, u32) {
        StoredShape::of_counted(self).upright_pixels()
    }

    /// Width over height of the upright picture, with pixels that are not square as the file's
    /// resolution says.
    #[must_use]
    pub fn shape(&self) -> f64 {
        StoredShape::of_counted(self).shape()
    }

    /// The upright size that the file's resolution gives.
    #[must_use]
    pub fn stated_size(&self) -> Option<(Length, Length)> {
        StoredShape::of_counted(self).stated_size()
    }
}

/// What a report must say of a picture with transparent parts.
pub(crate) fn transparency(alpha: Alpha, paper: Option<Lab>) -> Option<Assumption> {
    let behind = if paper.is_some() { "the paper's colour" } else { "media white" };
    (alpha != Alpha::None).then(|| {
        Assumption::note(format!(
            "transparent parts take no ink; partly transparent ones are laid over {behind}"
        ))
    })
}

/// The embedded profile if it can be used, or the usual assumption, said aloud.
pub(crate) fn source_profile(
    embedded: Option<&[u8]>,
    model: ColourModel,
    assumptions: &mut Vec<Assumption>,
) -> (SourceProfile, ProfileUse) {
    let (assumed, name) = match model {
        ColourModel::Gray => (SourceProfile::gray(), "gray with the sRGB tone curve"),
        // CMYK pictures are refused before they get here.
        ColourModel::Rgb | ColourModel::Cmyk => (SourceProfile::srgb(), "sRGB"),
    };
    match embedded.map(|bytes| SourceProfile::parse(bytes, model)) {
        Some(Ok(profile)) => {
            let description = profile.description().to_owned();
            assumptions.push(Assumption::note(format!("embedded profile: {description}")));
            (profile, ProfileUse::Embedded { description })
        }
        Some(Err(fault)) => {
            assumptions.push(Assumption::warning(format!(
                "the embedded profile can't be used ({fault}); {name} assumed"
            )));
            (assumed, ProfileUse::Assumed)
        }
        None => {
            assumptions.push(Assumption::note(format!("no embedded profile; {name} assumed")));
            (assumed, ProfileUse::Assumed)
        }
    }
}

/// What transparency shows, in the picture's own encoding.
pub(crate) fn backdrop(profile: &SourceProfile, paper: Option<Lab>) -> Result<Backdrop, IccError> {
    let Some(paper) = paper else {
        return Ok(Backdrop::MediaWhite);
    };
    let transform = SourceTransform::new(profile, RenderingIntent::AbsoluteColorimetric)?;
    Ok(match transform.from_lab(paper)?[..] {
        [gray] => Backdrop::Colour(SourceColour::Gray(gray)),
        [red, green, blue] => Backdrop::Colour(SourceColour::Rgb([red, green, blue])),
        _ => Backdrop::MediaWhite,
    })
}
