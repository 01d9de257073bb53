use std::num::NonZeroUsize;

use census::{CensusError, StoredCensus};
use colour::Alpha;
use intake::{ContentHash, FileFormat, Picture, Resolution, ResolutionSource};
use serde::{Deserialize, Serialize};

use crate::counted_picture::{of_notice, transparency};
use crate::profile_choice::ProfileChoice;
use crate::source_colours::LastColours;
use crate::{Assumption, CountedPicture, Counting, EstimatingError, PreviewUse, Weight};

/// A counted picture as it is kept, so that every later question is answered without its file.
#[derive(Clone, Debug, PartialEq)]
pub struct KeptPicture {
    /// The colours and the preview, in the census's own stored form.
    pub census: Vec<u8>,
    /// What a census does not tell of its picture, as JSON.
    pub facts: String,
}

/// What a census does not tell of its picture.
#[derive(Serialize, Deserialize)]
struct Facts {
    /// Has a value where pixels have an opacity.
    alpha: Option<Opacity>,
    /// The part of the file that states the resolution.
    resolution_stated_by: Option<String>,
    /// What the reader found unusual.
    notices: Vec<KeptNotice>,
}

#[derive(Serialize, Deserialize)]
enum Opacity {
    Straight,
    Associated,
}

#[derive(Serialize, Deserialize)]
struct KeptNotice {
    warning: bool,
    text: String,
}

impl KeptPicture {
    /// Reads an opened picture in one pass. The preview is kept with at most so many pixels.
    ///
    /// Transparency is laid on media white.
    ///
    /// # Errors
    ///
    /// As [`CountedPicture::count`].
    pub fn count(
        picture: Picture,
        threads: NonZeroUsize,
        preview_pixels: u64,
    ) -> Result<Self, EstimatingError> {
        let profile = picture.profile.clone();
        let facts = Facts::of(&picture);
        let preview = PreviewUse::UpTo(preview_pixels);
        let counting = Counting { assumed: None, paper: None, threads, preview };
        let counted = CountedPicture::count_for(picture, &counting)?;
        let facts = serde_json::to_string(&facts).map_err(|cause| damaged(&cause))?;
        Ok(Self { census: counted.into_stored(profile).to_bytes()?, facts })
    }

    /// The picture as it was counted.
    ///
    /// # Errors
    ///
    /// `Census` when the kept bytes have changed since.
    pub fn recall(&self) -> Result<CountedPicture, EstimatingError> {
        let StoredCensus { origin, profile, census, preview } =
            StoredCensus::from_bytes(&self.census)?;
        let facts: Facts = serde_json::from_str(&self.facts).map_err(|cause| damaged(&cause))?;
        let named = |format: &FileFormat| format.to_string() == origin.file_format;
        let file_format = FileFormat::ALL.into_iter().find(named);
        let file_format = file_format.ok_or_else(|| damaged(&"an unknown kind of file"))?;
        let mut assumptions: Vec<Assumption> = facts.notices.iter().map(Assumption::from).collect();
        let model = census.model();
        let choice = ProfileChoice { embedded: profile.as_deref(), assumed: None, model };
        let (profile, profile_use) = choice.choose(&mut assumptions);
        let alpha = facts.alpha();
        assumptions.extend(transparency(alpha, None));
        let resolution = origin.resolution.map(|stated| Resolution {
            across: stated.across,
            along: stated.along,
            stated_by: facts.stated_by(),
        });
        let (width, height) = (origin.width, origin.height);
        let format = colour::RasterFormat { width, height, model, depth: census.depth(), alpha };
        Ok(CountedPicture {
            file_format,
            format,
            orientation: origin.orientation,
            resolution,
            content_hash: ContentHash::from_bytes(origin.content),
            census,
            preview,
            profile_use,
            assumptions,
            profile,
            last_colours: LastColours::default(),
        })
    }
}

impl Facts {
    fn of(picture: &Picture) -> Self {
        let alpha = match picture.format.alpha {
            Alpha::None => None,
            Alpha::Straight => Some(Opacity::Straight),
            Alpha::Associated => Some(Opacity::Associated),
        };
        let notices = picture.notices.iter().map(of_notice);
        let kept = |notice: Assumption| KeptNotice {
            warning: notice.weight == Weight::Warning,
            text: notice.text,
        };
        Self {
            alpha,
            resolution_stated_by: picture.resolution.map(|stated| stated.stated_by.to_string()),
            notices: notices.map(kept).collect(),
        }
    }

    const fn alpha(&self) -> Alpha {
        match self.alpha {
            None => Alpha::None,
            Some(Opacity::Straight) => Alpha::Straight,
            Some(Opacity::Associated) => Alpha::Associated,
        }
    }

    /// A part that is not known any more only changes a word of a report.
    fn stated_by(&self) -> ResolutionSource {
        let named =
            |source: &ResolutionSource| Some(source.to_string()) == self.resolution_stated_by;
        ResolutionSource::ALL.into_iter().find(named).unwrap_or(ResolutionSource::Exif)
    }
}

impl From<&KeptNotice> for Assumption {
    fn from(kept: &KeptNotice) -> Self {
        if kept.warning { Self::warning(&kept.text) } else { Self::note(&kept.text) }
    }
}

fn damaged(cause: &impl ToString) -> EstimatingError {
    EstimatingError::Census(CensusError::Damaged { detail: cause.to_string() })
}
