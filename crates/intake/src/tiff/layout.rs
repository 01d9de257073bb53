use colour::{Alpha, BitDepth, ColourModel, RasterFormat};

use crate::limits::LeastBytes;
use crate::tags::{ByteOrder, Directory};
use crate::{FileFormat, IntakeError, Limits, Notice};

use super::FileTags;
use super::chunks::Chunks;
use super::codec::Codec;

/// Tags of TIFF 6.0 that say how pixels are stored.
mod tag {
    pub(super) const WIDTH: u16 = 256;
    pub(super) const HEIGHT: u16 = 257;
    pub(super) const BITS_PER_SAMPLE: u16 = 258;
    pub(super) const COMPRESSION: u16 = 259;
    pub(super) const PHOTOMETRIC: u16 = 262;
    pub(super) const FILL_ORDER: u16 = 266;
    pub(super) const SAMPLES_PER_PIXEL: u16 = 277;
    pub(super) const PLANAR: u16 = 284;
    pub(super) const PREDICTOR: u16 = 317;
    pub(super) const COLOUR_MAP: u16 = 320;
    pub(super) const EXTRA_SAMPLES: u16 = 338;
    pub(super) const SAMPLE_FORMAT: u16 = 339;
}

/// Most samples of a pixel; our choice: colour, opacity and some spare channels.
const MOST_SAMPLES: u64 = 64;

/// How the pixels are stored and what they mean.
pub(super) struct Layout {
    pub(super) format: RasterFormat,
    pub(super) meaning: Meaning,
    pub(super) order: ByteOrder,
    /// Bits of a stored sample: 1, 2, 4, 8 or 16.
    pub(super) bits: usize,
    /// Stored samples of a pixel.
    pub(super) samples: usize,
    /// Each sample of a pixel has chunks of its own.
    pub(super) planar: bool,
    pub(super) codec: Codec,
    /// Samples are stored as differences from the pixel to the left.
    pub(super) differences: bool,
    /// Which stored sample each delivered one is, colour first.
    pub(super) picks: Vec<usize>,
    pub(super) chunks: Chunks,
}

/// What the colour samples mean.
#[derive(Clone)]
pub(super) enum Meaning {
    /// 0 is black.
    Light,
    /// 0 is white.
    Ink,
    /// An index into these colours.
    Palette(Vec<[u8; 3]>),
}

impl Layout {
    pub(super) fn read(
        tags: &mut FileTags<'_>,
        directory: &Directory,
        limits: &Limits,
    ) -> Result<Self, IntakeError> {
        let mut read = Fields { tags, directory };
        let (width, height) = (read.side(tag::WIDTH)?, read.side(tag::HEIGHT)?);
        limits.check_size(FileFormat::Tiff, width, height)?;
        let codec = Codec::from_tag(read.number_or(tag::COMPRESSION, 1)?)?;
        let samples = read.samples()?;
        let bits = read.bits(samples)?;
        let (model, meaning) = read.meaning(bits)?;
        let extra = read.extra_samples(samples, model, &meaning)?;
        read.refuse_odd(bits, samples, &meaning, extra.alpha)?;
        let planar = read.planar(samples)?;
        let differences = read.differences(codec)?;
        let format = RasterFormat { width, height, model, depth: depth(bits), alpha: extra.alpha };
        let planes = if planar { samples } else { 1 };
        let chunks = Chunks::read(tags, directory, (width, height), planes);
        Ok(Self {
            format,
            order: tags.order(),
            bits,
            samples,
            planar,
            codec,
            differences,
            picks: extra.picks,
            chunks: plausible(chunks, &format, samples * bits, codec, tags.length())?,
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

    /// Refuses tiles of which a row is too much to hold. Strips are never held.
    pub(super) fn check_held(&self, limits: &Limits) -> Result<(), IntakeError> {
        if !self.chunks.tiled {
            return Ok(());
        }
        let pixels = u64::from(self.format.width) * u64::from(self.chunks.height);
        let delivered = pixels * (self.format.samples_per_pixel() * self.bits.div_ceil(8)) as u64;
        limits.check_held(
            delivered + self.chunk_row_bytes() as u64,
            "save it in strips or in smaller tiles",
        )
    }

    pub(super) fn notices(&self) -> Vec<Notice> {
        let dropped = self.samples - self.picks.len();
        let notice = Notice::ExtraSamplesDropped { samples: dropped };
        (dropped > 0).then_some(notice).into_iter().collect()
    }
}

const fn depth(bits: usize) -> BitDepth {
    match bits {
        16 => BitDepth::Sixteen,
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
        bytes: row_bytes * u64::from(format.height) / codec.best(),
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

/// Samples beyond colour: which one is opacity, and what is delivered.
struct Extra {
    alpha: Alpha,
    picks: Vec<usize>,
}

/// Reads the tags one after the other.
struct Fields<'tags, 'original> {
    tags: &'tags mut FileTags<'original>,
    directory: &'tags Directory,
}

impl Fields<'_, '_> {
    fn number(&mut self, tag: u16) -> Result<u64, IntakeError> {
        self.tags.first(self.directory, tag)?.ok_or_else(|| corrupt(format!("it lacks tag {tag}")))
    }

    fn number_or(&mut self, tag: u16, default: u64) -> Result<u64, IntakeError> {
        Ok(self.tags.first(self.directory, tag)?.unwrap_or(default))
    }

    fn numbers(&mut self, tag: u16, most: u64) -> Result<Vec<u64>, IntakeError> {
        Ok(self.tags.numbers(self.directory, tag, most)?.unwrap_or_default())
    }

    fn side(&mut self, tag: u16) -> Result<u32, IntakeError> {
        let side = self.number(tag)?;
        u32::try_from(side).map_err(|_| corrupt(format!("it states a side of {side} pixels")))
    }

    fn samples(&mut self) -> Result<usize, IntakeError> {
        match self.number_or(tag::SAMPLES_PER_PIXEL, 1)? {
            0 => Err(corrupt("it states no samples per pixel")),
            samples if samples <= MOST_SAMPLES => Ok(usize::try_from(samples).unwrap_or(1)),
            samples => Err(unsupported(format!("a TIFF file of {samples} samples per pixel"))),
        }
    }

    /// Bits of all samples, which must be the same.
    fn bits(&mut self, samples: usize) -> Result<usize, IntakeError> {
        let stated = self.numbers(tag::BITS_PER_SAMPLE, MOST_SAMPLES)?;
        let bits = stated.first().copied().unwrap_or(1);
        // A single number for all samples is common, if not to the letter of the standard.
        if stated.len() > 1 && stated.len() != samples {
            return Err(corrupt(format!(
                "it states bits for {} samples of {samples}",
                stated.len()
            )));
        }
        if stated.iter().any(|other| *other != bits) {
            return Err(unsupported(format!("a TIFF file of samples with {stated:?} bits")));
        }
        match bits {
            1 | 2 | 4 | 8 | 16 => Ok(usize::try_from(bits).unwrap_or(8)),
            _ => Err(unsupported(format!("a TIFF file of {bits} bits per sample"))),
        }
    }

    fn meaning(&mut self, bits: usize) -> Result<(ColourModel, Meaning), IntakeError> {
        let what = match self.number(tag::PHOTOMETRIC)? {
            0 => return Ok((ColourModel::Gray, Meaning::Ink)),
            1 => return Ok((ColourModel::Gray, Meaning::Light)),
            2 => return Ok((ColourModel::Rgb, Meaning::Light)),
            3 => return Ok((ColourModel::Rgb, Meaning::Palette(self.palette(bits)?))),
            4 => "a TIFF file that is a transparency mask".to_owned(),
            5 => "a CMYK or multi-ink TIFF file".to_owned(),
            6 => "a YCbCr TIFF file".to_owned(),
            8..=10 => "a Lab TIFF file".to_owned(),
            32_803 | 34_892 => "a camera raw TIFF file".to_owned(),
            32_844 | 32_845 => "a high-dynamic-range TIFF file".to_owned(),
            other => format!("a TIFF file of photometric interpretation {other}"),
        };
        Err(unsupported(what))
    }

    /// The palette: all reds, then greens, then blues, in 16 bits each.
    fn palette(&mut self, bits: usize) -> Result<Vec<[u8; 3]>, IntakeError> {
        if bits > 8 {
            return Err(unsupported(format!("a TIFF file with a palette of {bits} bits")));
        }
        let size = 1 << bits;
        let map = self.numbers(tag::COLOUR_MAP, 1 << 11)?;
        if map.len() != 3 * size {
            return Err(corrupt(format!(
                "its palette has {} numbers, not {}",
                map.len(),
                3 * size
            )));
        }
        // Some writers state 8 bits; no palette of 16 bits is as dark as all of it below 256.
        let shift = if map.iter().any(|level| *level > 255) { 8 } else { 0 };
        let level = |plane: usize, index: usize| {
            u8::try_from(map[plane * size + index] >> shift).unwrap_or(u8::MAX)
        };
        Ok((0..size).map(|index| [0, 1, 2].map(|plane| level(plane, index))).collect())
    }

    /// The first extra sample that is opacity is delivered; of the others nothing is known.
    fn extra_samples(
        &mut self,
        samples: usize,
        model: ColourModel,
        meaning: &Meaning,
    ) -> Result<Extra, IntakeError> {
        let colours = match meaning {
            Meaning::Palette(_) => 1,
            Meaning::Light | Meaning::Ink => model.channels(),
        };
        if samples < colours {
            return Err(corrupt(format!("it states {samples} samples for {model} colour")));
        }
        let stated = self.numbers(tag::EXTRA_SAMPLES, MOST_SAMPLES)?;
        let opacity = stated.iter().take(samples - colours).position(|kind| matches!(kind, 1 | 2));
        let alpha = match opacity.map(|index| stated[index]) {
            Some(1) => Alpha::Associated,
            Some(_) => Alpha::Straight,
            None => Alpha::None,
        };
        let picks = (0..colours).chain(opacity.map(|index| colours + index)).collect();
        Ok(Extra { alpha, picks })
    }

    /// Refuses combinations whose meaning is not settled or that nobody writes.
    fn refuse_odd(
        &mut self,
        bits: usize,
        samples: usize,
        meaning: &Meaning,
        alpha: Alpha,
    ) -> Result<(), IntakeError> {
        let formats = self.numbers(tag::SAMPLE_FORMAT, MOST_SAMPLES)?;
        // 1 is unsigned and 4 is undefined, which readers take for unsigned.
        if let Some(other) = formats.iter().find(|format| !matches!(format, 1 | 4)) {
            let kind = if *other == 3 { "floating-point" } else { "signed or complex" };
            return Err(unsupported(format!("a TIFF file of {kind} samples")));
        }
        if self.number_or(tag::FILL_ORDER, 1)? != 1 {
            return Err(unsupported("a TIFF file with reversed bits"));
        }
        if bits < 8 && samples > 1 {
            let what = format!("a TIFF file of {samples} samples with {bits} bits");
            return Err(unsupported(what));
        }
        match (meaning, alpha) {
            (Meaning::Palette(_), Alpha::None) | (Meaning::Light, _) => Ok(()),
            (Meaning::Palette(_), _) => Err(unsupported("a TIFF file of a palette with opacity")),
            (Meaning::Ink, Alpha::Associated) => {
                Err(unsupported("a TIFF file of inverted gray with associated opacity"))
            }
            (Meaning::Ink, _) => Ok(()),
        }
    }

    fn planar(&mut self, samples: usize) -> Result<bool, IntakeError> {
        match self.number_or(tag::PLANAR, 1)? {
            1 => Ok(false),
            2 => Ok(samples > 1),
            other => Err(corrupt(format!("it states planar configuration {other}"))),
        }
    }

    /// The predictor counts only with the codecs that it is defined for.
    fn differences(&mut self, codec: Codec) -> Result<bool, IntakeError> {
        match self.number_or(tag::PREDICTOR, 1)? {
            1 => Ok(false),
            2 => Ok(codec.has_predictor()),
            3 => Err(unsupported("a TIFF file with the floating-point predictor")),
            other => Err(corrupt(format!("it states predictor {other}"))),
        }
    }
}

fn corrupt(detail: impl Into<String>) -> IntakeError {
    IntakeError::corrupt(FileFormat::Tiff, detail)
}

fn unsupported(what: impl Into<String>) -> IntakeError {
    IntakeError::unsupported(what, "convert it to RGB with 8 or 16 bits and save it as TIFF")
}
