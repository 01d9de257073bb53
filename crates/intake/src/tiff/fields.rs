use colour::{Alpha, ColourModel};

use crate::jpeg::EmbeddedColour;
use crate::tags::Directory;
use crate::{FileFormat, IntakeError};

use super::FileTags;
use super::codec::Codec;
use super::fax::FaxForm;
use super::meaning::Meaning;
use super::wide_samples::{Prediction, WideKind};
use super::ycbcr::{LUMA, REFERENCES, YcbcrForm};

/// Tags of TIFF 6.0 that say how pixels are stored.
pub(super) mod tag {
    pub(in crate::tiff) const WIDTH: u16 = 256;
    pub(in crate::tiff) const HEIGHT: u16 = 257;
    pub(in crate::tiff) const BITS_PER_SAMPLE: u16 = 258;
    pub(in crate::tiff) const COMPRESSION: u16 = 259;
    pub(in crate::tiff) const PHOTOMETRIC: u16 = 262;
    pub(in crate::tiff) const FILL_ORDER: u16 = 266;
    pub(in crate::tiff) const SAMPLES_PER_PIXEL: u16 = 277;
    pub(in crate::tiff) const PLANAR: u16 = 284;
    pub(in crate::tiff) const PREDICTOR: u16 = 317;
    pub(in crate::tiff) const COLOUR_MAP: u16 = 320;
    pub(in crate::tiff) const EXTRA_SAMPLES: u16 = 338;
    pub(in crate::tiff) const SAMPLE_FORMAT: u16 = 339;
    pub(in crate::tiff) const T4_OPTIONS: u16 = 292;
    pub(in crate::tiff) const T6_OPTIONS: u16 = 293;
    pub(in crate::tiff) const INK_SET: u16 = 332;
    pub(in crate::tiff) const NUMBER_OF_INKS: u16 = 334;
    pub(in crate::tiff) const JPEG_TABLES: u16 = 347;
    pub(in crate::tiff) const YCBCR_COEFFICIENTS: u16 = 529;
    pub(in crate::tiff) const YCBCR_SUBSAMPLING: u16 = 530;
    pub(in crate::tiff) const REFERENCE_BLACK_WHITE: u16 = 532;
}

/// Most samples of a pixel; our choice: colour, opacity and some spare channels.
const MOST_SAMPLES: u64 = 64;

/// Values of PhotometricInterpretation that other fields depend on.
const YCBCR: u64 = 6;
const CIELAB: u64 = 8;

/// Largest JPEGTables; our choice: eight tables of each kind take 4 KiB.
const MOST_TABLES: u64 = 64 << 10;

/// How a sample is stored.
#[derive(Clone, Copy)]
pub(super) struct SampleForm {
    pub(super) bits: usize,
    /// Stored wider than it is delivered.
    pub(super) wide: Option<WideKind>,
}

/// What must go together.
pub(super) struct Combination<'a> {
    pub(super) codec: Codec,
    pub(super) form: SampleForm,
    pub(super) samples: usize,
    pub(super) meaning: &'a Meaning,
    pub(super) alpha: Alpha,
}

/// Samples beyond colour: which one is opacity, and what is delivered.
pub(super) struct Extra {
    pub(super) alpha: Alpha,
    pub(super) picks: Vec<usize>,
}

/// Reads the tags one after the other.
pub(super) struct Fields<'tags, 'original> {
    pub(super) tags: &'tags mut FileTags<'original>,
    pub(super) directory: &'tags Directory,
}

impl Fields<'_, '_> {
    pub(super) fn number(&mut self, tag: u16) -> Result<u64, IntakeError> {
        self.tags.first(self.directory, tag)?.ok_or_else(|| corrupt(format!("it lacks tag {tag}")))
    }

    pub(super) fn number_or(&mut self, tag: u16, default: u64) -> Result<u64, IntakeError> {
        Ok(self.tags.first(self.directory, tag)?.unwrap_or(default))
    }

    pub(super) fn numbers(&mut self, tag: u16, most: u64) -> Result<Vec<u64>, IntakeError> {
        Ok(self.tags.numbers(self.directory, tag, most)?.unwrap_or_default())
    }

    pub(super) fn side(&mut self, tag: u16) -> Result<u32, IntakeError> {
        let side = self.number(tag)?;
        u32::try_from(side).map_err(|_| corrupt(format!("it states a side of {side} pixels")))
    }

    pub(super) fn samples(&mut self) -> Result<usize, IntakeError> {
        match self.number_or(tag::SAMPLES_PER_PIXEL, 1)? {
            0 => Err(corrupt("it states no samples per pixel")),
            samples if samples <= MOST_SAMPLES => Ok(usize::try_from(samples).unwrap_or(1)),
            samples => Err(unsupported(format!("a TIFF file of {samples} samples per pixel"))),
        }
    }

    /// Bits of all samples, which must be the same, and how they are to be widened or narrowed.
    pub(super) fn depth(&mut self, samples: usize) -> Result<SampleForm, IntakeError> {
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
        self.sample_form(bits)
    }

    fn sample_form(&mut self, bits: u64) -> Result<SampleForm, IntakeError> {
        let formats = self.numbers(tag::SAMPLE_FORMAT, MOST_SAMPLES)?;
        let format = formats.first().copied().unwrap_or(1);
        if formats.iter().any(|other| *other != format) {
            return Err(unsupported("a TIFF file of samples in different formats"));
        }
        let kind = match (format, bits) {
            // 1 is unsigned and 4 is undefined, which readers take for unsigned.
            (1 | 4, 1 | 2 | 4 | 8 | 16) => None,
            (1 | 4, 32) => Some(WideKind::Integer32),
            (3, 16) => Some(WideKind::Float16),
            (3, 32) => Some(WideKind::Float32),
            (3, 64) => Some(WideKind::Float64),
            // CIELAB states its a* and b* as signed in some files.
            (2, 8 | 16) if self.number(tag::PHOTOMETRIC)? == CIELAB => None,
            (1 | 4, _) => {
                return Err(unsupported(format!("a TIFF file of {bits} bits per sample")));
            }
            (3, _) => {
                let what = format!("a TIFF file of floating-point samples with {bits} bits");
                return Err(unsupported(what));
            }
            _ => return Err(unsupported("a TIFF file of signed or complex samples")),
        };
        Ok(SampleForm { bits: usize::try_from(bits).unwrap_or(8), wide: kind })
    }

    /// What the samples mean. JPEG chunks of YCbCr arrive as RGB.
    pub(super) fn meaning(
        &mut self,
        bits: usize,
        samples: usize,
    ) -> Result<(ColourModel, Meaning), IntakeError> {
        let what = match self.number(tag::PHOTOMETRIC)? {
            0 => return Ok((ColourModel::Gray, Meaning::Inverted)),
            1 => return Ok((ColourModel::Gray, Meaning::AsDelivered)),
            2 | YCBCR => return Ok((ColourModel::Rgb, Meaning::AsDelivered)),
            3 => return Ok((ColourModel::Rgb, Meaning::Palette(self.palette(bits)?))),
            5 => return self.inks(samples),
            CIELAB => return Ok((ColourModel::Lab, Meaning::SignedLab)),
            9 => return Ok((ColourModel::Lab, Meaning::IccLab)),
            4 => "a TIFF file that is a transparency mask".to_owned(),
            10 => "a TIFF file of ITU L*a*b*".to_owned(),
            32_803 | 34_892 => "a camera raw TIFF file".to_owned(),
            32_844 | 32_845 => "a high-dynamic-range TIFF file".to_owned(),
            other => format!("a TIFF file of photometric interpretation {other}"),
        };
        Err(unsupported(what))
    }

    /// CMYK, unless other inks are stated (TIFF 6.0, section 16).
    fn inks(&mut self, samples: usize) -> Result<(ColourModel, Meaning), IntakeError> {
        let set = self.number_or(tag::INK_SET, 1)?;
        let inks = self.number_or(tag::NUMBER_OF_INKS, 4)?;
        if set != 1 || inks != 4 || samples < 4 {
            let what = format!("a TIFF file of {inks} inks in {samples} samples that are not CMYK");
            return Err(unsupported(what));
        }
        Ok((ColourModel::Cmyk, Meaning::AsDelivered))
    }

    /// YCbCr that is not inside JPEG (TIFF 6.0, section 21).
    pub(super) fn ycbcr(&mut self, codec: Codec) -> Result<Option<YcbcrForm>, IntakeError> {
        if self.number(tag::PHOTOMETRIC)? != YCBCR || codec == Codec::Jpeg {
            return Ok(None);
        }
        let shared = self.numbers(tag::YCBCR_SUBSAMPLING, 2)?;
        let shared = match shared[..] {
            [] => (2, 2),
            [across @ (1 | 2 | 4), down @ (1 | 2 | 4)] => (across, down),
            _ => return Err(corrupt(format!("it states YCbCr subsampling {shared:?}"))),
        };
        let shared = (u32::try_from(shared.0).unwrap_or(1), u32::try_from(shared.1).unwrap_or(1));
        let luma = self.fractions(tag::YCBCR_COEFFICIENTS, LUMA)?;
        let references = self.fractions(tag::REFERENCE_BLACK_WHITE, REFERENCES)?;
        let apart = references.as_chunks::<2>().0.iter().all(|[none, full]| none < full);
        if luma.iter().any(|share| !(0.0..=1.0).contains(share)) || luma[1] == 0.0 || !apart {
            return Err(corrupt("its YCbCr coefficients or references are no colours"));
        }
        Ok(Some(YcbcrForm { shared, luma, references }))
    }

    fn fractions<const N: usize>(
        &mut self,
        tag: u16,
        default: [f64; N],
    ) -> Result<[f64; N], IntakeError> {
        match self.tags.fractions(self.directory, tag, N as u64)? {
            None => Ok(default),
            Some(stated) => stated.try_into().map_err(|stated: Vec<f64>| {
                corrupt(format!("tag {tag} has {} numbers", stated.len()))
            }),
        }
    }

    /// The tables and the colours of JPEG chunks (TIFF Technical Note 2).
    pub(super) fn jpeg(
        &mut self,
        codec: Codec,
        samples: usize,
        planar: bool,
    ) -> Result<Option<(Vec<u8>, EmbeddedColour)>, IntakeError> {
        if codec != Codec::Jpeg {
            return Ok(None);
        }
        let tables = self.tags.raw(self.directory, tag::JPEG_TABLES, MOST_TABLES)?;
        let ycbcr = self.number(tag::PHOTOMETRIC)? == YCBCR;
        let colour = match (samples, planar, ycbcr) {
            (_, true, false) | (1, false, false) => EmbeddedColour::Gray,
            (3, false, true) => EmbeddedColour::RgbFromYcbcr,
            (3, false, false) => EmbeddedColour::Rgb,
            (4, false, false) => EmbeddedColour::Four,
            _ => {
                let what = format!("a TIFF file with JPEG chunks of {samples} samples");
                return Err(unsupported(what));
            }
        };
        Ok(Some((tables.unwrap_or_default(), colour)))
    }

    /// Bits of a fax chunk's options (TIFF 6.0, section 11).
    pub(super) fn fax(&mut self, codec: Codec) -> Result<FaxForm, IntakeError> {
        let options = match codec {
            Codec::FaxGroup3 => self.number_or(tag::T4_OPTIONS, 0)?,
            Codec::FaxGroup4 => self.number_or(tag::T6_OPTIONS, 0)?,
            _ => 0,
        };
        if options & 2 != 0 {
            return Err(unsupported("a fax TIFF file with uncompressed parts"));
        }
        Ok(FaxForm { two_dimensional: codec == Codec::FaxGroup3 && options & 1 != 0 })
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
    pub(super) fn extra_samples(
        &mut self,
        samples: usize,
        model: ColourModel,
        meaning: &Meaning,
    ) -> Result<Extra, IntakeError> {
        let colours = meaning.colours(model);
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
    pub(super) fn refuse_odd(&mut self, odd: &Combination<'_>) -> Result<(), IntakeError> {
        let Combination { codec, form, samples, meaning, alpha } = *odd;
        let bits = form.bits;
        let ycbcr = self.number(tag::PHOTOMETRIC)? == YCBCR;
        let lab = matches!(meaning, Meaning::SignedLab | Meaning::IccLab);
        let associated = alpha == Alpha::Associated;
        let fax_form = bits == 1 && samples == 1 && !meaning.is_palette();
        let odd = [
            (bits < 8 && samples > 1, "several samples of fewer than 8 bits"),
            (
                codec == Codec::Jpeg && (bits != 8 || meaning.is_palette()),
                "JPEG chunks of this depth",
            ),
            (codec.is_fax() && !fax_form, "fax chunks that are not black and white"),
            (self.is_reversed()? && bits != 1, "reversed bits"),
            (form.wide.is_some() && (lab || meaning.is_palette()), "colours of this depth"),
            (bits < 8 && lab, "CIELAB of fewer than 8 bits"),
            (
                associated && !matches!(meaning, Meaning::AsDelivered),
                "associated opacity on this colour",
            ),
            (alpha != Alpha::None && meaning.is_palette(), "a palette with opacity"),
            (ycbcr && (bits != 8 || samples != 3), "YCbCr of this depth"),
        ];
        match odd.into_iter().find(|(is_odd, _)| *is_odd) {
            Some((_, what)) => Err(unsupported(format!("a TIFF file with {what}"))),
            None => Ok(()),
        }
    }

    /// Whether the lowest bit of a byte comes first.
    pub(super) fn is_reversed(&mut self) -> Result<bool, IntakeError> {
        match self.number_or(tag::FILL_ORDER, 1)? {
            1 => Ok(false),
            2 => Ok(true),
            other => Err(corrupt(format!("it states fill order {other}"))),
        }
    }

    pub(super) fn planar(&mut self, samples: usize) -> Result<bool, IntakeError> {
        match self.number_or(tag::PLANAR, 1)? {
            1 => Ok(false),
            2 => Ok(samples > 1),
            other => Err(corrupt(format!("it states planar configuration {other}"))),
        }
    }

    /// The predictor counts only with the codecs that it is defined for.
    pub(super) fn prediction(
        &mut self,
        codec: Codec,
        form: SampleForm,
    ) -> Result<Prediction, IntakeError> {
        let stated = self.number_or(tag::PREDICTOR, 1)?;
        let ycbcr = self.number(tag::PHOTOMETRIC)? == YCBCR;
        let float =
            matches!(form.wide, Some(WideKind::Float16 | WideKind::Float32 | WideKind::Float64));
        match stated {
            1 => Ok(Prediction::None),
            3 if !float => {
                let what = "a TIFF file with the floating-point predictor on whole numbers";
                Err(unsupported(what))
            }
            2 | 3 if !codec.has_predictor() => Ok(Prediction::None),
            2 if ycbcr => Err(unsupported("a YCbCr TIFF file with a predictor")),
            2 if form.bits >= 8 => Ok(Prediction::Differences),
            3 => Ok(Prediction::Bytes),
            2 => Err(unsupported(format!("a TIFF file of {} bits with a predictor", form.bits))),
            other => Err(corrupt(format!("it states predictor {other}"))),
        }
    }
}

pub(super) fn corrupt(detail: impl Into<String>) -> IntakeError {
    IntakeError::corrupt(FileFormat::Tiff, detail)
}

pub(super) fn unsupported(what: impl Into<String>) -> IntakeError {
    IntakeError::unsupported(what, "convert it to RGB with 8 or 16 bits and save it as TIFF")
}
