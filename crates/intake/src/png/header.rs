use std::io::{BufReader, Read, Seek};

use colour::{Alpha, BitDepth, ColourModel, RasterFormat};
use png::{ColorType, DecodeOptions, Decoder, DecodingError, Info, Reader, Transformations};

use crate::bytes::{Original, READ_AHEAD};
use crate::limits::{DEFLATE_BEST, LeastBytes};
use crate::resolution::believe;
use crate::{FileFormat, IntakeError, Notice, Resolution, ResolutionSource};

use super::outline::Outline;

/// What the decoder may allocate; our choice: some rows of the longest side.
const DECODER_BYTES: usize = 32 << 20;

/// What the chunks before the pixels state.
pub(super) struct Header {
    pub(super) format: RasterFormat,
    pub(super) resolution: Option<Result<Resolution, Notice>>,
    /// Bytes of all pixels before compression, without filter bytes.
    stored_bytes: u64,
    /// What describes colour beside a profile.
    described_by: Option<&'static str>,
}

impl Header {
    pub(super) fn read(original: &mut Original) -> Result<Self, IntakeError> {
        let bytes = original
            .at_start()
            .map_err(|fault| IntakeError::reading("reading the PNG file", fault))?;
        let reader = start(bytes).map_err(|fault| explain(fault, 0, None))?;
        let info = reader.info();
        check_first_frame(info)?;
        Ok(Self {
            format: raster(&reader),
            resolution: resolution(info),
            stored_bytes: (u64::from(info.width) * info.bits_per_pixel() as u64).div_ceil(8)
                * u64::from(info.height),
            described_by: described_by(info),
        })
    }

    /// Refuses a picture that its compressed bytes can't hold.
    pub(super) fn check_plausible(
        &self,
        outline: &Outline,
        file_bytes: u64,
    ) -> Result<(), IntakeError> {
        let least = LeastBytes {
            bytes: self.stored_bytes / DEFLATE_BEST,
            reason: "deflate makes 1,032 bytes of one at the most",
        };
        if outline.is_complete() {
            // Other chunks hold no pixels.
            least.check(FileFormat::Png, &self.format, outline.pixel_bytes)
        } else {
            least
                .check(FileFormat::Png, &self.format, file_bytes)
                .map_err(|_| IntakeError::cut_after(FileFormat::Png, 0, self.format.height))
        }
    }

    /// What is said about colour and not used.
    pub(super) fn colour_notice(&self) -> Option<Notice> {
        self.described_by.map(|by| Notice::ColourDescriptionUnused { by })
    }
}

/// Starts the decoder, which reads up to the first pixels. Palettes and 1, 2 and 4 bits are
/// widened to 8 bits, and a transparent colour or palette entry becomes opacity.
pub(super) fn start<R: Read + Seek>(bytes: R) -> Result<Reader<BufReader<R>>, DecodingError> {
    let mut options = DecodeOptions::default();
    options.set_ignore_text_chunk(true);
    // The outline has it, within its own limit.
    options.set_ignore_iccp_chunk(true);
    // A damaged profile must not be passed over.
    options.set_skip_ancillary_crc_failures(false);
    let bytes = BufReader::with_capacity(READ_AHEAD, bytes);
    let mut decoder = Decoder::new_with_options(bytes, options);
    decoder.set_limits(png::Limits { bytes: DECODER_BYTES });
    decoder.set_transformations(Transformations::EXPAND);
    decoder.read_info()
}

/// The decoder's fault in our words.
pub(super) fn explain(
    fault: DecodingError,
    rows_read: u32,
    rows_total: Option<u32>,
) -> IntakeError {
    match fault {
        DecodingError::IoError(fault) if fault.kind() == std::io::ErrorKind::UnexpectedEof => {
            IntakeError::Truncated { format: FileFormat::Png, rows_read, rows_total }
        }
        DecodingError::IoError(fault) => IntakeError::reading("reading the PNG file", fault),
        DecodingError::LimitsExceeded => IntakeError::unsupported(
            "a PNG file with more than 32 MiB beside its pixels",
            "save it without metadata",
        ),
        DecodingError::Format(_) | DecodingError::Parameter(_) => {
            let detail = format!("{fault} (after {rows_read} rows)");
            IntakeError::corrupt(FileFormat::Png, detail)
        }
    }
}

/// Of an animation only the first frame is decoded, and it must fill the picture.
fn check_first_frame(info: &Info<'_>) -> Result<(), IntakeError> {
    match &info.frame_control {
        Some(frame) if (frame.width, frame.height) != (info.width, info.height) => {
            let detail = "the first frame of the animation has another size than the picture";
            Err(IntakeError::corrupt(FileFormat::Png, detail))
        }
        _ => Ok(()),
    }
}

fn raster<R: Read + Seek>(reader: &Reader<BufReader<R>>) -> RasterFormat {
    let (colours, bits) = reader.output_color_type();
    let (model, alpha) = match colours {
        ColorType::Grayscale => (ColourModel::Gray, Alpha::None),
        ColorType::GrayscaleAlpha => (ColourModel::Gray, Alpha::Straight),
        ColorType::Rgb | ColorType::Indexed => (ColourModel::Rgb, Alpha::None),
        ColorType::Rgba => (ColourModel::Rgb, Alpha::Straight),
    };
    RasterFormat {
        width: reader.info().width,
        height: reader.info().height,
        model,
        depth: match bits {
            png::BitDepth::Sixteen => BitDepth::Sixteen,
            _ => BitDepth::Eight,
        },
        alpha,
    }
}

fn resolution(info: &Info<'_>) -> Option<Result<Resolution, Notice>> {
    let stated = info.pixel_dims?;
    // Without a unit the numbers state the shape of a pixel only.
    if stated.unit != png::Unit::Meter {
        return None;
    }
    let per_inch = |per_metre: u32| f64::from(per_metre) * 0.0254;
    let (across, along) = (per_inch(stated.xppu), per_inch(stated.yppu));
    Some(believe(ResolutionSource::PngPhys, across, along))
}

/// sRGB is what a picture without a profile is taken for, so stating it is no contradiction.
fn described_by(info: &Info<'_>) -> Option<&'static str> {
    if info.coding_independent_code_points.is_some() {
        Some("a cICP chunk")
    } else if info.srgb.is_none() && (info.gama_chunk.is_some() || info.chrm_chunk.is_some()) {
        Some("gAMA or cHRM chunks")
    } else {
        None
    }
}
