//! The wire form of what is kept of a picture beside its colours.

use colour::{Alpha, BitDepth, ColourModel, Orientation, RasterFormat};
use intake::{ContentHash, FileFormat, Resolution, ResolutionSource};
use serde::{Deserialize, Serialize};
use units::DotsPerInch;

use crate::{Assumption, CountedPicture, ProfileUse, Weight};

/// The facts of a picture that estimates need beside its colours.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct KeptFacts {
    pub(crate) file_format: FileFormat,
    pub(crate) format: RasterFormat,
    pub(crate) orientation: Orientation,
    pub(crate) resolution: Option<Resolution>,
    pub(crate) content_hash: ContentHash,
    /// The embedded profile's description, where that is what gives the colours their meaning.
    pub(crate) profile: Option<String>,
    pub(crate) assumptions: Vec<Assumption>,
    /// Whether there is a preview beside the colours.
    pub(crate) previewed: bool,
}

const FORMATS: [FileFormat; 9] = [
    FileFormat::Jpeg,
    FileFormat::Png,
    FileFormat::Tiff,
    FileFormat::WebP,
    FileFormat::Gif,
    FileFormat::Bmp,
    FileFormat::Pnm,
    FileFormat::Svg,
    FileFormat::Pdf,
];
const MODELS: [ColourModel; 4] =
    [ColourModel::Gray, ColourModel::Rgb, ColourModel::Cmyk, ColourModel::Lab];
const ALPHAS: [Alpha; 3] = [Alpha::None, Alpha::Straight, Alpha::Associated];
const SOURCES: [ResolutionSource; 6] = [
    ResolutionSource::JfifDensity,
    ResolutionSource::Exif,
    ResolutionSource::PngPhys,
    ResolutionSource::TiffTags,
    ResolutionSource::BmpHeader,
    ResolutionSource::PageSize,
];

/// The facts as JSON; kinds are places in the lists above.
#[derive(Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
struct Wire {
    program_version: String,
    file_format: usize,
    width: u32,
    height: u32,
    model: usize,
    bits: u8,
    alpha: usize,
    orientation: u16,
    /// Across and along in dots per inch, and the source.
    resolution: Option<(f64, f64, usize)>,
    content: [u8; 32],
    profile: Option<String>,
    /// Whether it is a warning, and the sentence.
    assumptions: Vec<(bool, String)>,
    previewed: bool,
}

impl KeptFacts {
    /// The facts of a picture that was read in the usual way; nothing where a profile that the
    /// caller gave stands behind the colours.
    pub(crate) fn of(picture: &CountedPicture) -> Option<Self> {
        let profile = match &picture.profile_use {
            ProfileUse::Embedded { description } => Some(description.clone()),
            ProfileUse::Assumed => None,
            ProfileUse::Given { .. } => return None,
        };
        Some(Self {
            file_format: picture.file_format,
            format: picture.format,
            orientation: picture.orientation,
            resolution: picture.resolution,
            content_hash: picture.content_hash,
            profile,
            assumptions: picture.assumptions.clone(),
            previewed: false,
        })
    }

    pub(crate) fn to_json(&self) -> Option<Vec<u8>> {
        let RasterFormat { width, height, model, depth, alpha } = self.format;
        let resolution = match self.resolution {
            None => None,
            Some(Resolution { across, along, stated_by }) => Some((
                across.to_dots_per_inch(),
                along.to_dots_per_inch(),
                place(&SOURCES, stated_by)?,
            )),
        };
        let wire = Wire {
            program_version: env!("CARGO_PKG_VERSION").to_owned(),
            file_format: place(&FORMATS, self.file_format)?,
            width,
            height,
            model: place(&MODELS, model)?,
            bits: match depth {
                BitDepth::Eight => 8,
                BitDepth::Sixteen => 16,
            },
            alpha: place(&ALPHAS, alpha)?,
            orientation: tag_of(self.orientation)?,
            resolution,
            content: *self.content_hash.as_bytes(),
            profile: self.profile.clone(),
            assumptions: self
                .assumptions
                .iter()
                .map(|one| (one.weight == Weight::Warning, one.text.clone()))
                .collect(),
            previewed: self.previewed,
        };
        serde_json::to_vec(&wire).ok()
    }

    /// Reads facts of this very version of the program; others are taken anew.
    pub(crate) fn from_json(bytes: &[u8]) -> Option<Self> {
        let wire: Wire = serde_json::from_slice(bytes).ok()?;
        let dots = |value: f64| DotsPerInch::from_dots_per_inch(value).ok();
        let resolution = match wire.resolution {
            None => None,
            Some((across, along, source)) => Some(Resolution {
                across: dots(across)?,
                along: dots(along)?,
                stated_by: *SOURCES.get(source)?,
            }),
        };
        let format = RasterFormat {
            width: wire.width,
            height: wire.height,
            model: *MODELS.get(wire.model)?,
            depth: match wire.bits {
                8 => BitDepth::Eight,
                16 => BitDepth::Sixteen,
                _ => return None,
            },
            alpha: *ALPHAS.get(wire.alpha)?,
        };
        let is_whole = wire.width > 0 && wire.height > 0;
        (is_whole && wire.program_version == env!("CARGO_PKG_VERSION")).then_some(())?;
        let assumption = |(warning, text): (bool, String)| {
            if warning { Assumption::warning(text) } else { Assumption::note(text) }
        };
        Some(Self {
            file_format: *FORMATS.get(wire.file_format)?,
            format,
            orientation: Orientation::from_tag(wire.orientation)?,
            resolution,
            content_hash: ContentHash::from_bytes(wire.content),
            profile: wire.profile,
            assumptions: wire.assumptions.into_iter().map(assumption).collect(),
            previewed: wire.previewed,
        })
    }
}

fn place<T: PartialEq>(all: &[T], one: T) -> Option<usize> {
    all.iter().position(|other| *other == one)
}

fn tag_of(orientation: Orientation) -> Option<u16> {
    (1..=8).find(|tag| Orientation::from_tag(*tag) == Some(orientation))
}

/// Puts marked sections together, with a hash over all of it at the end.
pub(crate) fn sealed(mark: &[u8; 8], facts: &[u8], rest: &[u8]) -> Option<Vec<u8>> {
    let mut bytes = mark.to_vec();
    bytes.extend(u32::try_from(facts.len()).ok()?.to_le_bytes());
    bytes.extend_from_slice(facts);
    bytes.extend_from_slice(rest);
    let hash = blake3::hash(&bytes);
    bytes.extend_from_slice(hash.as_bytes());
    Some(bytes)
}

/// The facts and the rest of what was sealed; nothing where a byte has changed.
pub(crate) fn unsealed<'a>(mark: &[u8; 8], bytes: &'a [u8]) -> Option<(&'a [u8], &'a [u8])> {
    let (content, hash) = bytes.split_at_checked(bytes.len().checked_sub(blake3::OUT_LEN)?)?;
    (blake3::hash(content).as_bytes() == hash).then_some(())?;
    let (length, rest) = content.strip_prefix(mark)?.split_first_chunk()?;
    rest.split_at_checked(usize::try_from(u32::from_le_bytes(*length)).ok()?)
}
