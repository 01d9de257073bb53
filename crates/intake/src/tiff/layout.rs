use colour::{BitDepth, RasterFormat};

use crate::limits::LeastBytes;
use crate::tags::{ByteOrder, Directory};
use crate::{FileFormat, IntakeError, Limits, Notice};

use super::FileTags;
use super::chunks::Chunks;
use super::codec::Codec;
use super::fields::{Combination, Fields, SampleForm, tag, unsupported};
use super::meaning::Meaning;
use super::unpacking::Unpacking;
use super::wide_samples::{Prediction, WideKind, WideSamples};

/// How the pixels are stored and what they mean.
pub(super) struct Layout {
    pub(super) format: RasterFormat,
    pub(super) meaning: Meaning,
    pub(super) order: ByteOrder,
    /// Bits of a stored sample.
    pub(super) bits: usize,
    /// Stored samples of a pixel.
    pub(super) samples: usize,
    /// Each sample of a pixel has chunks of its own.
    pub(super) planar: bool,
    pub(super) unpacking: Unpacking,
    /// Samples are stored as differences from the pixel to the left.
    pub(super) differences: bool,
    /// Samples that are stored wider than they are delivered.
    pub(super) wide: Option<WideSamples>,
    /// Which stored sample each delivered one is, colour first.
    pub(super) picks: Vec<usize>,
    pub(super) chunks: Chunks,
}

impl Layout {
    pub(super) fn read(
        tags: &mut FileTags<'_>,
        directory: &Directory,
        limits: &Limits,
        accept_damaged: bool,
    ) -> Result<Self, IntakeError> {
        let mut read = Fields { tags, directory };
        let (width, height) = (read.side(tag::WIDTH)?, read.side(tag::HEIGHT)?);
        limits.check_size(FileFormat::Tiff, width, height)?;
        let codec = Codec::from_tag(read.number_or(tag::COMPRESSION, 1)?)?;
        let samples = read.samples()?;
        let form = read.depth(samples)?;
        let (model, meaning) = read.meaning(form.bits, samples)?;
        let extra = read.extra_samples(samples, model, &meaning)?;
        let alpha = extra.alpha;
        read.refuse_odd(&Combination { codec, form, samples, meaning: &meaning, alpha })?;
        let planar = read.planar(samples)?;
        let prediction = read.prediction(codec, form)?;
        let unpacking = Unpacking {
            codec,
            reversed: read.is_reversed()?,
            fax: read.fax(codec)?,
            jpeg: read.jpeg(codec, samples, planar)?,
            ycbcr: read.ycbcr(codec)?,
        };
        if planar && unpacking.ycbcr.is_some() {
            return Err(unsupported("a YCbCr TIFF file in planes"));
        }
        let format = RasterFormat { width, height, model, depth: depth(form), alpha };
        let planes = if planar { samples } else { 1 };
        let chunks = Chunks::read(tags, directory, (width, height), planes);
        let stored_bits = unpacking.stored_bits(samples * form.bits);
        let chunks = if accept_damaged {
            chunks?
        } else {
            plausible(chunks, &format, stored_bits, codec, tags.length())?
        };
        let order = tags.order();
        Ok(Self {
            format,
            order,
            bits: form.bits,
            samples,
            planar,
            unpacking,
            differences: form.wide.is_none() && prediction == Prediction::Differences,
            wide: form.wide.map(|kind| WideSamples { kind, order, prediction }),
            picks: extra.picks,
            chunks,
            meaning,
        })
    }

    /// Bytes of a row of a chunk before compression.
    pub(super) const fn chunk_row_bytes(&self) -> usize {
        (self.chunks.width as usize * self.chunk_samples() * self.bits).div_ceil(8)
    }

    /// Samples of a pixel in one chunk.
    pub(super) const fn chunk_samples(&self) -> usize {
        if self.planar { 1 } else { self.samples }
    }

    /// Refuses tiles of which a row is too much to hold, and chunks that are unpacked as a whole
    /// and are too large for that. Other strips are never held.
    pub(super) fn check_held(&self, limits: &Limits) -> Result<(), IntakeError> {
        let chunk = self.chunk_row_bytes() as u64 * u64::from(self.chunks.height);
        let at_once = if self.unpacking.codec.unpacks_at_once() {
            chunk + self.chunks.most_bytes()
        } else {
            0
        };
        let pixels = u64::from(self.format.width) * u64::from(self.chunks.height);
        let delivered = if self.chunks.tiled {
            pixels * (self.format.samples_per_pixel() * self.bits.div_ceil(8)) as u64
        } else {
            0
        };
        limits.check_held(
            delivered + at_once + self.chunk_row_bytes() as u64,
            "save it in strips or in smaller tiles",
        )
    }

    /// What is said of floating-point colour without a profile.
    pub(super) fn colour_notice(&self, has_profile: bool) -> Option<Notice> {
        let float = self.wide.is_some_and(|wide| wide.kind != WideKind::Integer32);
        let by = "floating-point samples, perhaps in linear light,";
        (float && !has_profile).then_some(Notice::ColourDescriptionUnused { by })
    }

    pub(super) fn notices(&self) -> Vec<Notice> {
        let dropped = self.samples - self.picks.len();
        let notice = Notice::ExtraSamplesDropped { samples: dropped };
        (dropped > 0).then_some(notice).into_iter().collect()
    }
}

const fn depth(form: SampleForm) -> BitDepth {
    match (form.bits, form.wide) {
        (16, _) | (_, Some(_)) => BitDepth::Sixteen,
        _ => BitDepth::Eight,
    }
}

/// Gives the chunks on, unless they claim more pixels than the file can hold. A file that was
/// cut is told from one that lies by chunks past its end.
fn plausible(
    chunks: Result<Chunks, IntakeError>,
    format: &RasterFormat,
    bits_per_pixel: usize,
    codec: Codec,
    file_bytes: u64,
) -> Result<Chunks, IntakeError> {
    let row_bytes = (u64::from(format.width) * bits_per_pixel as u64).div_ceil(8);
    let least = LeastBytes {
        bytes: row_bytes.saturating_mul(u64::from(format.height)) / codec.best(row_bytes),
        reason: codec.best_reason(),
    };
    let Err(implausible) = least.check(FileFormat::Tiff, format, file_bytes) else {
        return chunks;
    };
    Err(match chunks {
        Ok(chunks) if chunks.first_past(file_bytes).is_some() => {
            IntakeError::cut_after(FileFormat::Tiff, 0, format.height)
        }
        Err(cut @ IntakeError::Truncated { .. }) => cut,
        _ => implausible,
    })
}
