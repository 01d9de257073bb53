//! WebP, GIF and BMP: decoded as a whole by the `image` library, after a walk of our own has
//! found the file complete.

mod outline;

use std::io::{self, BufReader, Cursor};

use colour::{Alpha, BitDepth, ColourModel, RasterFormat};
use image::codecs::bmp::BmpDecoder;
use image::codecs::gif::GifDecoder;
use image::codecs::webp::WebPDecoder;
use image::{ColorType, ImageDecoder, ImageError};

use crate::bands::row_bytes;
use crate::bytes::Original;
use crate::exif::ExifFacts;
use crate::guarded::guarded;
use crate::held_rows::HeldRows;
use crate::limits::LeastBytes;
use crate::picture::orientation;
use crate::{FileFormat, IntakeError, Limits, Notice, Opening, Picture, resolution};

use outline::Outline;

type Decoder = Box<dyn ImageDecoder + Send>;

pub(crate) fn open(
    format: FileFormat,
    mut original: Original,
    limits: &Limits,
    opening: &Opening,
) -> Result<Picture, IntakeError> {
    let length = original.length();
    limits.check_held(length, "save it as PNG or TIFF")?;
    let file = original.first_bytes(length)?;
    let outline = Outline::read(format, &file);
    if !outline.complete && !opening.accept_damaged {
        return Err(IntakeError::cut_in_header(format));
    }
    let content_hash = original.content_hash()?;
    let open = || decoder(format, file).map_err(|fault| explain(format, fault));
    let mut decoder = guarded(format, open)?;
    let raster = raster(format, decoder.as_ref())?;
    limits.check_size(format, raster.width, raster.height)?;
    outline.least_bytes(format, &raster).check(format, &raster, length)?;
    let held = row_bytes(&raster) as u64 * u64::from(raster.height);
    limits.check_held(held + length, "save it as PNG or TIFF")?;

    let mut notices = outline.notices(format, length);
    notices.extend(Notice::held(held, "stored in a form without rows"));
    let exif_block = decoder.exif_metadata().unwrap_or_default();
    let exif = ExifFacts::read_or_notice(exif_block.as_deref().map(bare), &mut notices);
    let profile = decoder.icc_profile().map_err(|fault| explain(format, fault))?;
    limits.check_profile(profile.as_ref().map_or(0, |profile| profile.len() as u64))?;
    let stated = outline.density.into_iter().chain(exif.resolution);
    Ok(Picture {
        file_format: format,
        format: raster,
        orientation: orientation(exif.orientation, &mut notices),
        resolution: resolution::choose(stated, &mut notices),
        pages: 1,
        profile,
        notices,
        content_hash,
        rows: Box::new(HeldRows::new(
            raster,
            Box::new(move || guarded(format, || decode(format, decoder, raster.height))),
        )),
    })
}

fn decoder(format: FileFormat, file: Vec<u8>) -> Result<Decoder, ImageError> {
    let bytes = BufReader::new(Cursor::new(file));
    Ok(match format {
        FileFormat::Gif => Box::new(GifDecoder::new(bytes)?),
        FileFormat::Bmp => Box::new(BmpDecoder::new(bytes)?),
        _ => Box::new(WebPDecoder::new(bytes)?),
    })
}

fn raster(
    format: FileFormat,
    decoder: &(dyn ImageDecoder + Send),
) -> Result<RasterFormat, IntakeError> {
    let (width, height) = decoder.dimensions();
    let (model, depth, alpha) = match decoder.color_type() {
        ColorType::L8 => (ColourModel::Gray, BitDepth::Eight, Alpha::None),
        ColorType::La8 => (ColourModel::Gray, BitDepth::Eight, Alpha::Straight),
        ColorType::Rgb8 => (ColourModel::Rgb, BitDepth::Eight, Alpha::None),
        ColorType::Rgba8 => (ColourModel::Rgb, BitDepth::Eight, Alpha::Straight),
        ColorType::L16 => (ColourModel::Gray, BitDepth::Sixteen, Alpha::None),
        ColorType::La16 => (ColourModel::Gray, BitDepth::Sixteen, Alpha::Straight),
        ColorType::Rgb16 => (ColourModel::Rgb, BitDepth::Sixteen, Alpha::None),
        ColorType::Rgba16 => (ColourModel::Rgb, BitDepth::Sixteen, Alpha::Straight),
        other => {
            let what = format!("a {format} file of {other:?} samples");
            return Err(IntakeError::unsupported(what, "save it as PNG or TIFF"));
        }
    };
    Ok(RasterFormat { width, height, model, depth, alpha })
}

fn decode(format: FileFormat, decoder: Decoder, rows: u32) -> Result<Vec<u8>, IntakeError> {
    let length = usize::try_from(decoder.total_bytes()).unwrap_or(usize::MAX);
    let mut samples = vec![0; length];
    match decoder.read_image_boxed(&mut samples) {
        Ok(()) => Ok(samples),
        Err(ImageError::IoError(fault)) if fault.kind() == io::ErrorKind::UnexpectedEof => {
            Err(IntakeError::cut_after(format, 0, rows))
        }
        Err(fault) => Err(explain(format, fault)),
    }
}

/// Exif data in WebP may start as they do in JPEG.
fn bare(block: &[u8]) -> &[u8] {
    block.strip_prefix(b"Exif\0\0").unwrap_or(block)
}

/// The decoder's fault in our words.
fn explain(format: FileFormat, fault: ImageError) -> IntakeError {
    match fault {
        ImageError::IoError(fault) if fault.kind() == io::ErrorKind::UnexpectedEof => {
            IntakeError::cut_in_header(format)
        }
        ImageError::IoError(fault) => IntakeError::reading("reading the file", fault),
        ImageError::Unsupported(what) => {
            let what = format!("this kind of {format} file ({what})");
            IntakeError::unsupported(what, "save it as PNG or TIFF")
        }
        fault => IntakeError::corrupt(format, fault.to_string()),
    }
}

impl Outline {
    /// The fewest bytes that such a picture takes.
    fn least_bytes(&self, format: FileFormat, raster: &RasterFormat) -> LeastBytes {
        let pixels = raster.pixels();
        let (bytes, reason) = match format {
            FileFormat::Bmp => (self.stored_bytes, "rows of BMP pictures are stored in full"),
            // A code of LZW stands for 4,096 pixels at the most and takes nine bits or more.
            FileFormat::Gif => (pixels / 4096, "LZW makes 4,096 pixels of a byte at the most"),
            // Lossless coding may give an area of one colour no bits at all (RFC 9649, 4).
            _ => {
                (pixels / WEBP_BEST, "WebP is believed to make 65,536 pixels of a byte at the most")
            }
        };
        LeastBytes { bytes, reason }
    }
}

/// Our choice: a white page of 268 megapixels, the most that the format can state, takes more.
const WEBP_BEST: u64 = 65_536;
