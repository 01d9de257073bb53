use std::num::NonZeroUsize;
use std::sync::Arc;

use census::{
    Backdrop, CensusTaker, ColourCensus, MOST_PREVIEW_PIXELS, Origin, Preview, SourceColour,
    StoredCensus,
};
use colour::{Alpha, ColourModel, Lab, Orientation, RasterFormat};
use icc::{IccError, RenderingIntent, SourceProfile, SourceTransform};
use intake::{ContentHash, FileFormat, Notice, Picture, Resolution};
use units::Length;

use crate::judging::PIXELS_FOR_PLACES;
use crate::profile_choice::ProfileChoice;
use crate::source_colours::{CensusColours, LastColours};
use crate::stored_shape::StoredShape;
use crate::{Assumption, CensusStore, EstimatingError, RenderingChoice};

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
    pub(crate) profile: SourceProfile,
    pub(crate) last_colours: LastColours,
}

/// Which profile gives a picture's numbers their meaning.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ProfileUse {
    /// The file's own.
    Embedded {
        /// The profile's description of itself.
        description: String,
    },
    /// The usual one for the colour model (sRGB, gray with its tone curve, CMYK of coated offset),
    /// because the file brings none that can be used.
    Assumed,
    /// The one that the caller gave for files that bring none that can be used.
    Given {
        /// The profile's description of itself.
        description: String,
    },
}

/// How a picture is counted.
#[derive(Clone, Copy)]
pub struct Counting<'a> {
    /// The profile for pictures of its colour model that bring none that can be used.
    pub assumed: Option<&'a SourceProfile>,
    /// The paper's ICC-absolute colour under absolute colorimetric rendering, where transparent parts
    /// show it; otherwise transparency shows media white.
    pub paper: Option<Lab>,
    /// Threads that decode and count; the result does not depend on their number.
    pub threads: NonZeroUsize,
    /// What the preview is for.
    pub preview: PreviewUse,
}

/// What the preview of a counted picture is for: a large one takes as long as half the counting.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PreviewUse {
    /// Nothing: ink needs none. The preview has one pixel.
    #[default]
    None,
    /// Verdicts: a small one says where colours are lost; of small pictures the whole one gives
    /// percentiles.
    Verdict,
    /// To be shown or kept with at most so many pixels.
    UpTo(u64),
    /// To be shown or kept as large as previews are.
    Shown,
}

impl PreviewUse {
    fn most_pixels(self, picture: u64) -> u64 {
        match self {
            Self::None => 1,
            Self::Verdict if picture > MOST_PREVIEW_PIXELS => PIXELS_FOR_PLACES,
            Self::UpTo(pixels) => pixels,
            Self::Verdict | Self::Shown => MOST_PREVIEW_PIXELS,
        }
    }
}

impl CountedPicture {
    /// The colours of the census as a rendering starts from them.
    pub(crate) fn colours(
        &self,
        choice: RenderingChoice,
    ) -> Result<Arc<CensusColours>, EstimatingError> {
        let work_out = || CensusColours::of(&self.census, &self.profile, choice);
        self.last_colours.for_rendering(choice, work_out)
    }

    /// Reads an opened picture in one pass, for all that can be made of it.
    ///
    /// `paper` is the paper's ICC-absolute colour under absolute colorimetric rendering, where
    /// transparent parts show it; otherwise transparency shows media white. `threads` decode and
    /// count; the result does not depend on their number.
    ///
    /// # Errors
    ///
    /// Whatever stops the reading: see [`intake::IntakeError`] and [`census::CensusError`].
    pub fn count(
        picture: Picture,
        paper: Option<Lab>,
        threads: NonZeroUsize,
    ) -> Result<Self, EstimatingError> {
        let preview = PreviewUse::Shown;
        Self::count_for(picture, &Counting { assumed: None, paper, threads, preview })
    }

    /// Reads an opened picture in one pass.
    ///
    /// # Errors
    ///
    /// As [`CountedPicture::count`].
    pub fn count_for(
        mut picture: Picture,
        counting: &Counting<'_>,
    ) -> Result<Self, EstimatingError> {
        let &Counting { assumed, paper, threads, preview } = counting;
        let mut assumptions = Vec::new();
        let (profile, profile_use) = interpreted(&picture, assumed, paper, &mut assumptions);
        let taker = CensusTaker {
            orientation: picture.orientation,
            backdrop: backdrop(&profile, paper)?,
            preview_pixels: preview.most_pixels(picture.format.pixels()),
            joins: true,
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
            last_colours: LastColours::default(),
        })
    }

    /// Like [`count`](Self::count), but decodes only what the store doesn't know yet: the file has
    /// been read for its hash when it was opened, and equal bytes have equal colours. The picture
    /// must have been opened in the usual way: the store tells no pages or ways of drawing apart.
    ///
    /// # Errors
    ///
    /// As for `count`.
    pub fn recall_or_count(
        picture: Picture,
        assumed: Option<&SourceProfile>,
        paper: Option<Lab>,
        threads: NonZeroUsize,
        store: &dyn CensusStore,
    ) -> Result<Self, EstimatingError> {
        // Censuses are kept as laid on media white; another paper shows only through transparency.
        let keeps = paper.is_none() || picture.format.alpha == Alpha::None;
        let hash = *picture.content_hash.as_bytes();
        let stored = if keeps { store.load(&hash) } else { None };
        if let Some(stored) = stored.and_then(|bytes| StoredCensus::from_bytes(&bytes).ok())
            && is_of(&stored, &picture)
        {
            return Ok(Self::recalled(picture, assumed, stored));
        }
        let embedded = picture.profile.clone();
        let damaged = |counted: &Self| counted.census.pixels() != counted.format.pixels();
        let preview = PreviewUse::Shown;
        let counting = Counting { assumed, paper, threads, preview };
        let counted = Self::count_for(picture, &counting)?;
        if keeps
            && !damaged(&counted)
            && let Ok(bytes) = counted.stored(embedded).to_bytes()
        {
            store.store(&hash, &bytes);
        }
        Ok(counted)
    }

    /// A picture whose colours were counted before.
    fn recalled(picture: Picture, assumed: Option<&SourceProfile>, stored: StoredCensus) -> Self {
        let mut assumptions = Vec::new();
        let (profile, profile_use) = interpreted(&picture, assumed, None, &mut assumptions);
        Self {
            file_format: picture.file_format,
            format: picture.format,
            orientation: picture.orientation,
            resolution: picture.resolution,
            content_hash: picture.content_hash,
            census: stored.census,
            preview: stored.preview,
            profile_use,
            assumptions,
            profile,
            last_colours: LastColours::default(),
        }
    }

    /// The form that a store keeps.
    fn stored(&self, profile: Option<Vec<u8>>) -> StoredCensus {
        let (census, preview) = (self.census.clone(), self.preview.clone());
        StoredCensus { origin: self.origin(), profile, census, preview }
    }

    /// The same without a copy.
    pub(crate) fn into_stored(self, profile: Option<Vec<u8>>) -> StoredCensus {
        let origin = self.origin();
        StoredCensus { origin, profile, census: self.census, preview: self.preview }
    }

    fn origin(&self) -> Origin {
        Origin {
            content: *self.content_hash.as_bytes(),
            file_format: self.file_format.to_string(),
            width: self.format.width,
            height: self.format.height,
            orientation: self.orientation,
            backdrop: Backdrop::MediaWhite,
            resolution: self.resolution.map(|resolution| census::Resolution {
                across: resolution.across,
                along: resolution.along,
            }),
            program_version: env!("CARGO_PKG_VERSION").to_owned(),
        }
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

/// What the file states, interpreted: the profile, and what has to be assumed.
fn interpreted(
    picture: &Picture,
    assumed: Option<&SourceProfile>,
    paper: Option<Lab>,
    assumptions: &mut Vec<Assumption>,
) -> (SourceProfile, ProfileUse) {
    assumptions.extend(picture.notices.iter().map(of_notice));
    let model = picture.format.model;
    let choice = ProfileChoice { embedded: picture.profile.as_deref(), assumed, model };
    let chosen = choice.choose(assumptions);
    assumptions.extend(transparency(picture.format.alpha, paper));
    chosen
}

/// Whether a stored census is of the picture as this program reads it.
fn is_of(stored: &StoredCensus, picture: &Picture) -> bool {
    let Origin { content, width, height, orientation, program_version, .. } = &stored.origin;
    let format = &picture.format;
    content == picture.content_hash.as_bytes()
        && (*width, *height) == (format.width, format.height)
        && *orientation == picture.orientation
        && stored.census.model() == format.model
        && stored.census.depth() == format.depth
        && program_version == env!("CARGO_PKG_VERSION")
}

/// A notice of the reader casts doubt on the result, with few exceptions.
pub(crate) fn of_notice(notice: &Notice) -> Assumption {
    if notice.is_minor() { Assumption::note(notice) } else { Assumption::warning(notice) }
}

/// What transparency shows, in the picture's own encoding.
pub(crate) fn backdrop(profile: &SourceProfile, paper: Option<Lab>) -> Result<Backdrop, IccError> {
    let Some(paper) = paper else {
        return Ok(Backdrop::MediaWhite);
    };
    let transform = SourceTransform::new(profile, RenderingIntent::AbsoluteColorimetric)?;
    Ok(match transform.from_lab(paper)?[..] {
        [gray] => Backdrop::Colour(SourceColour::Gray(gray)),
        [cyan, magenta, yellow, black] => {
            Backdrop::Colour(SourceColour::Cmyk([cyan, magenta, yellow, black]))
        }
        [first, second, third] if profile.model() == ColourModel::Lab => {
            Backdrop::Colour(SourceColour::Lab([first, second, third]))
        }
        [red, green, blue] => Backdrop::Colour(SourceColour::Rgb([red, green, blue])),
        _ => Backdrop::MediaWhite,
    })
}
