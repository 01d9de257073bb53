use colour::ColourModel;
use lcms2::{CIExyY, LCMSResult, Locale, Profile, Tag, TagSignature, ThreadContext, ToneCurve};

use crate::profile_header::{check_header, model_of};
use crate::{IccError, RenderingIntent, SourceTransform};

/// The largest profile that is read; output profiles with many nodes have a few megabytes. Our
/// choice.
pub const MOST_PROFILE_BYTES: usize = 64 << 20;

/// Longest description in characters; more would only fill a report.
const LONGEST_DESCRIPTION: usize = 200;

/// Parameters g, a, b, c, d of the sRGB curve as an ICC parametric curve of type 3
/// (IEC 61966-2-1; ICC.1:2022, table 68): (aX + b)^g from d on, cX below.
const SRGB_CURVE: [f64; 5] = [2.4, 1.0 / 1.055, 0.055 / 1.055, 1.0 / 12.92, 0.04045];
/// What the colour management library calls that type.
const PARAMETRIC_TYPE: i16 = 4;

/// What the numbers of a picture mean.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SourceProfile {
    content: Content,
    model: ColourModel,
    description: String,
}

#[derive(Clone, Debug, PartialEq, Eq)]
enum Content {
    Srgb,
    GrayWithSrgbCurve,
    CoatedOffset,
    Cielab,
    Embedded(Vec<u8>),
}

impl SourceProfile {
    /// sRGB (IEC 61966-2-1), built in.
    #[must_use]
    pub fn srgb() -> Self {
        Self {
            content: Content::Srgb,
            model: ColourModel::Rgb,
            description: "sRGB IEC 61966-2-1 (built in)".to_owned(),
        }
    }

    /// Gray with the tone curve of sRGB and the white of the connection space, built in.
    #[must_use]
    pub fn gray() -> Self {
        Self {
            content: Content::GrayWithSrgbCurve,
            model: ColourModel::Gray,
            description: "gray with the sRGB tone curve (built in)".to_owned(),
        }
    }

    /// CMYK of offset printing on coated paper, built in: interpolated in the table of measured
    /// patches of ANSI/CGATS/GRACoL TR 006-2007, which is not a profile that anyone made from it.
    #[must_use]
    pub fn coated_offset() -> Self {
        Self {
            content: Content::CoatedOffset,
            model: ColourModel::Cmyk,
            description: "CMYK of offset printing on coated paper, from ANSI/CGATS/GRACoL \
                          TR 006-2007 (built in)"
                .to_owned(),
        }
    }

    /// CIELAB as it is stored, relative to the white of the medium and D50.
    #[must_use]
    pub fn cielab() -> Self {
        Self {
            content: Content::Cielab,
            model: ColourModel::Lab,
            description: "CIELAB relative to D50 (as stored)".to_owned(),
        }
    }

    /// What the numbers of a colour model are taken for where nothing says so.
    #[must_use]
    pub fn assumed(model: ColourModel) -> Self {
        match model {
            ColourModel::Gray => Self::gray(),
            ColourModel::Rgb => Self::srgb(),
            ColourModel::Cmyk => Self::coated_offset(),
            ColourModel::Lab => Self::cielab(),
        }
    }

    /// Reads a profile found in a picture.
    ///
    /// The profile is tried out: what is returned makes a transform by relative colorimetric
    /// rendering. Bytes behind the size that the header states are left away.
    ///
    /// # Errors
    ///
    /// `TooLarge` above 64 MiB, `WrongClass` for device links, named colours and the like,
    /// `WrongModel` when the profile is for other colours, `Damaged` or `Unusable` or `ImpossibleColour` when no transform can be made of it.
    pub fn parse(bytes: &[u8], expected: ColourModel) -> Result<Self, IccError> {
        if bytes.len() > MOST_PROFILE_BYTES {
            return Err(IccError::TooLarge { bytes: bytes.len(), limit: MOST_PROFILE_BYTES });
        }
        let bytes = check_header(bytes, expected)?;
        let context = ThreadContext::new();
        let opened = Profile::new_icc_context(&context, bytes).map_err(|_| unreadable())?;
        let profile = Self {
            content: Content::Embedded(bytes.to_vec()),
            model: expected,
            description: description_of(&opened),
        };
        SourceTransform::new(&profile, RenderingIntent::RelativeColorimetric)?;
        Ok(profile)
    }

    /// Reads a profile for whatever colours its header names.
    ///
    /// # Errors
    ///
    /// As [`SourceProfile::parse`]; `UnsupportedSpace` for colours that no picture is read in.
    pub fn parse_any(bytes: &[u8]) -> Result<Self, IccError> {
        Self::parse(bytes, model_of(bytes)?)
    }

    /// What the profile calls itself, for reports. Printable, at most 200 characters.
    #[must_use]
    pub fn description(&self) -> &str {
        &self.description
    }

    /// The colours that the profile is for.
    #[must_use]
    pub const fn model(&self) -> ColourModel {
        self.model
    }

    /// The bytes of a profile that was read; nothing for a built-in one.
    #[must_use]
    pub fn embedded(&self) -> Option<&[u8]> {
        match &self.content {
            Content::Embedded(bytes) => Some(bytes),
            _ => None,
        }
    }

    /// Opens the profile for one use: an open profile reads its tags late and is not shared.
    pub(crate) fn open(&self, context: &ThreadContext) -> LCMSResult<Profile<ThreadContext>> {
        match &self.content {
            Content::Srgb => Ok(Profile::new_srgb_context(context)),
            Content::GrayWithSrgbCurve => {
                let curve = ToneCurve::new_parametric(PARAMETRIC_TYPE, &SRGB_CURVE)?;
                Profile::new_gray_context(context, CIExyY::d50(), &curve)
            }
            Content::Embedded(bytes) => Profile::new_icc_context(context, bytes),
            // Their colours are computed here, see `computed`.
            Content::CoatedOffset | Content::Cielab => Err(lcms2::Error::MissingData),
        }
    }

    /// How the encoded colours become CIELAB, where that needs no colour management library.
    pub(crate) const fn computed(&self) -> Option<Computed> {
        match self.content {
            Content::CoatedOffset => Some(Computed::CoatedOffset),
            Content::Cielab => Some(Computed::Cielab),
            Content::Srgb | Content::GrayWithSrgbCurve | Content::Embedded(_) => None,
        }
    }
}

/// Sources whose colours are computed by our own code.
#[derive(Clone, Copy)]
pub(crate) enum Computed {
    CoatedOffset,
    Cielab,
}

pub(crate) fn unreadable() -> IccError {
    IccError::Damaged { detail: "its table of tags can't be read".to_owned() }
}

pub(crate) fn description_of(profile: &Profile<ThreadContext>) -> String {
    let text = match profile.read_tag(TagSignature::ProfileDescriptionTag) {
        Tag::MLU(text) => text.text(Locale::none()).unwrap_or_default(),
        _ => String::new(),
    };
    let printable = text.chars().filter(|letter| !letter.is_control());
    let short: String = printable.take(LONGEST_DESCRIPTION).collect();
    match short.trim() {
        "" => "unnamed profile".to_owned(),
        name => name.to_owned(),
    }
}
