//! JPEG (ITU-T T.81): a walk over the markers tells what the file states, and a decoder on a
//! thread of its own delivers the rows.

mod decoding;
mod embedded;
#[expect(
    unsafe_code,
    reason = "the C library's error manager and its build facts have no safe binding"
)]
mod ffi;
mod frame;
mod outline;
mod polarity;
mod rows;
mod segments;

use colour::{Alpha, BitDepth, ColourModel, RasterFormat};

use crate::bytes::Original;
use crate::exif::ExifFacts;
use crate::limits::LeastBytes;
use crate::picture::orientation;
use crate::{FileFormat, IntakeError, Limits, Notice, Opening, Picture, resolution};

use frame::Frame;
use outline::Outline;
use rows::{JpegRows, Wanted};

pub(crate) use embedded::{EmbeddedColour, decode_embedded};

/// Most scans of a progressive picture; our choice: encoders write about ten, and each scan
/// costs a pass over all coefficients however few bytes it has.
const MOST_SCANS: u32 = 200;

/// Blocks of one byte with arithmetic coding; our choice: a white page of our own took a byte for
/// 100 blocks, and without a bound a small file could keep the decoder busy for hours.
const ARITHMETIC_BLOCKS: u64 = 256;

/// Whether the JPEG decoder was built with vector instructions and runs them on this processor.
///
/// Without them it decodes several times slower: on x86 it was then built without `nasm`.
#[must_use]
pub fn jpeg_decoder_is_accelerated() -> bool {
    ffi::is_accelerated()
}

pub(crate) fn open(
    mut original: Original,
    limits: &Limits,
    opening: &Opening,
) -> Result<Picture, IntakeError> {
    let outline = Outline::read(&mut original, limits)?;
    let frame = outline.frame.as_ref().ok_or_else(|| no_frame(&outline))?;
    let format = raster(frame)?;
    limits.check_size(FileFormat::Jpeg, format.width, format.height)?;
    if outline.is_complete() || !opening.accept_damaged {
        check_plausible(frame, &outline, &format, original.length())?;
    }
    let held = check_scans(frame, &outline, limits)?;

    let mut notices = outline.notices(original.length());
    notices.extend(held);
    let inverted = format.model == ColourModel::Cmyk
        && polarity::decide(opening.polarity, &outline, &mut original, &mut notices);
    let exif = ExifFacts::read_or_notice(outline.exif(), &mut notices);
    let profile = outline.profile(&mut notices);
    if profile.is_none() && exif.optional_colour_space {
        let by = "the optional colour space of camera files, wider than sRGB,";
        notices.push(Notice::ColourDescriptionUnused { by });
    }
    // Encoders write the JFIF density anew and copy Exif data: the density is the later word.
    let stated = outline.density().into_iter().chain(exif.resolution);
    Ok(Picture {
        file_format: FileFormat::Jpeg,
        format,
        orientation: orientation(exif.orientation, &mut notices),
        resolution: resolution::choose(stated, &mut notices),
        pages: 1,
        profile,
        notices,
        content_hash: original.content_hash()?,
        rows: Box::new(JpegRows::new(Wanted { format, inverted }, original)),
    })
}

fn no_frame(outline: &Outline) -> IntakeError {
    if outline.is_complete() {
        IntakeError::corrupt(FileFormat::Jpeg, "it describes no picture")
    } else {
        IntakeError::cut_in_header(FileFormat::Jpeg)
    }
}

fn raster(frame: &Frame) -> Result<RasterFormat, IntakeError> {
    frame.check_process()?;
    let model = match frame.components.len() {
        1 => ColourModel::Gray,
        3 => ColourModel::Rgb,
        4 => ColourModel::Cmyk,
        other => {
            let what = format!("a JPEG file of {other} colour components");
            let remedy = "convert it to RGB and export it again";
            return Err(IntakeError::unsupported(what, remedy));
        }
    };
    Ok(RasterFormat {
        width: frame.width,
        height: frame.height,
        model,
        depth: BitDepth::Eight,
        alpha: Alpha::None,
    })
}

/// Every block of samples takes one bit at the least, because no Huffman code is shorter
/// (ITU-T T.81, annex C). Arithmetic coding has no such bound.
fn check_plausible(
    frame: &Frame,
    outline: &Outline,
    format: &RasterFormat,
    file_bytes: u64,
) -> Result<(), IntakeError> {
    let least = LeastBytes {
        bytes: frame.blocks().div_ceil(if frame.arithmetic { ARITHMETIC_BLOCKS } else { 8 }),
        reason: if frame.arithmetic {
            "arithmetic coding is believed to make 256 blocks of one byte at the most"
        } else {
            "a block of 8 x 8 samples takes one bit at the least"
        },
    };
    least.check(FileFormat::Jpeg, format, file_bytes).map_err(|refusal| {
        if outline.is_complete() {
            refusal
        } else {
            IntakeError::cut_after(FileFormat::Jpeg, 0, format.height)
        }
    })
}

/// Checks what several scans cost and that they leave no component out.
fn check_scans(
    frame: &Frame,
    outline: &Outline,
    limits: &Limits,
) -> Result<Option<Notice>, IntakeError> {
    if outline.scans > MOST_SCANS {
        return Err(IntakeError::TooLarge {
            quantity: "the progressive JPEG file",
            value: outline.scans.into(),
            limit: MOST_SCANS.into(),
            unit: "scans",
            remedy: "save it as a baseline JPEG file",
        });
    }
    let left_out = frame.components.iter().any(|component| !outline.is_coded(component.id));
    if outline.is_complete() && left_out {
        let detail = "a colour component is never stored";
        return Err(IntakeError::corrupt(FileFormat::Jpeg, detail));
    }
    if !frame.progressive && outline.first_scan_components == frame.components.len() {
        return Ok(None);
    }
    limits.check_held(frame.coefficient_bytes(), "save it as a baseline JPEG file")?;
    let reason = "progressive or stored colour by colour";
    Ok(Notice::held(frame.coefficient_bytes(), reason))
}
