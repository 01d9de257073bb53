use std::io::{Read, Write};

use census::{Backdrop, Origin, Preview, StoredCensus};
use colour::{Alpha, ColourModel, Lab};
use flate2::Compression;
use flate2::read::ZlibDecoder;
use flate2::write::ZlibEncoder;
use icc::SourceProfile;

use crate::judging::{PIXELS_FOR_PLACES, is_sampled};
use crate::kept_facts::{KeptFacts, sealed, unsealed};
use crate::source_colours::LastColours;
use crate::{CountedPicture, ProfileUse};

/// The first bytes of a kept picture, with the number of the form.
const MARK: &[u8; 8] = b"INKFPIC2";

/// Bytes of a stored census, at most: 2.4 million cells of 36 bytes with a profile and a preview.
const LARGEST_CENSUS: u64 = 256 << 20;

/// How a counted picture is kept and recalled.
#[derive(Clone, Copy, Debug)]
pub struct Keeping<'a> {
    /// The paper's colour where transparent parts show it, as for [`CountedPicture::count`].
    pub paper: Option<Lab>,
    /// A profile of the caller's for pictures that bring none, as for
    /// [`Counting`](crate::Counting).
    pub assumed: Option<&'a SourceProfile>,
    /// Whether verdicts are asked for. They take a small preview, which says where colours are lost, and
    /// of small pictures the whole one, for percentiles. A large picture's own preview takes up to
    /// 12 MB, a thousand of them more than a cache may.
    pub preview: bool,
}

impl CountedPicture {
    /// The bytes by which a picture that was opened in the usual way is known again without
    /// reading its file: its colours as they are estimated, perhaps a small preview, and what the file states.
    ///
    /// Nothing for pictures whose colours depend on more than the file: laid on a paper's colour,
    /// read with a profile of the caller's, or damaged.
    #[must_use]
    pub fn to_known(&self, keeping: &Keeping<'_>) -> Option<Vec<u8>> {
        let is_whole = self.census.pixels() == self.format.pixels();
        (is_whole && keeping.lies_on_white(self.format.alpha)).then_some(())?;
        let facts = KeptFacts { previewed: keeping.preview, ..KeptFacts::of(self)? }.to_json()?;
        let census = StoredCensus {
            origin: Origin {
                content: *self.content_hash.as_bytes(),
                file_format: self.file_format.to_string(),
                width: self.format.width,
                height: self.format.height,
                orientation: self.orientation,
                backdrop: Backdrop::MediaWhite,
                resolution: None,
                program_version: env!("CARGO_PKG_VERSION").to_owned(),
            },
            profile: self.profile().embedded().map(<[u8]>::to_vec),
            census: self.census.joined(),
            preview: match keeping.preview {
                false => no_preview(self.census.model()),
                true if is_sampled(self) => self.preview.clone(),
                true => self.preview.reduced(PIXELS_FOR_PLACES),
            },
        };
        sealed(MARK, &facts, &deflated(&census.to_bytes().ok()?)?)
    }

    /// The picture that [`CountedPicture::to_known`] gave the bytes of: estimates, and verdicts
    /// where a preview is asked for, are the same to the last bit. Proofs and pages need the
    /// picture's own preview.
    ///
    /// Nothing where the bytes are of another version or damaged, or lack what is asked for.
    #[must_use]
    pub fn from_known(bytes: &[u8], keeping: &Keeping<'_>) -> Option<Self> {
        let (facts, census) = unsealed(MARK, bytes)?;
        let facts = KeptFacts::from_json(facts)?;
        let StoredCensus { origin, profile, census, preview } =
            StoredCensus::from_bytes(&inflated(census)?).ok()?;
        let format = facts.format;
        let is_of_picture = origin.content == *facts.content_hash.as_bytes()
            && census.pixels() == format.pixels()
            && (census.model(), census.depth()) == (format.model, format.depth);
        (is_of_picture && keeping.is_served_by(&facts)).then_some(())?;
        let (profile, profile_use) = match (facts.profile, profile) {
            (Some(description), Some(bytes)) => (
                SourceProfile::parse(&bytes, format.model).ok()?,
                ProfileUse::Embedded { description },
            ),
            (None, None) => (SourceProfile::assumed(format.model), ProfileUse::Assumed),
            _ => return None,
        };
        Some(Self {
            file_format: facts.file_format,
            format,
            orientation: facts.orientation,
            resolution: facts.resolution,
            content_hash: facts.content_hash,
            census,
            preview,
            profile_use,
            assumptions: facts.assumptions,
            profile,
            last_colours: LastColours::default(),
        })
    }
}

/// The stored census made small: its numbers are mostly leading zeros.
fn deflated(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::fast());
    encoder.write_all(bytes).and_then(|()| encoder.finish()).ok()
}

fn inflated(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut all = Vec::new();
    let mut decoder = ZlibDecoder::new(bytes).take(LARGEST_CENSUS);
    decoder.read_to_end(&mut all).ok()?;
    Some(all)
}

impl Keeping<'_> {
    /// Transparent parts may show the paper, which is another one for the next ink set.
    fn lies_on_white(&self, alpha: Alpha) -> bool {
        self.paper.is_none() || alpha == Alpha::None
    }

    /// Whether a kept picture is what would be read, as far as it is asked for.
    pub(crate) fn is_served_by(&self, kept: &KeptFacts) -> bool {
        let model = kept.format.model;
        let is_of_other_profile =
            kept.profile.is_none() && self.assumed.is_some_and(|given| given.model() == model);
        self.lies_on_white(kept.format.alpha)
            && !is_of_other_profile
            && (kept.previewed || !self.preview)
    }
}

/// What stands in the place of a preview that is not kept: one pixel.
fn no_preview(model: ColourModel) -> Preview {
    Preview { width: 1, height: 1, model, samples: vec![0; model.channels()] }
}
