use std::cell::Cell;
use std::io::{self, BufRead, Read};
use std::panic::{AssertUnwindSafe, catch_unwind};

use mozjpeg::{ColorSpace, Decompress};

use super::ffi;

/// What the components of a JPEG stream inside another file become.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum EmbeddedColour {
    /// One component, as it is.
    Gray,
    /// YCbCr, turned into RGB.
    RgbFromYcbcr,
    /// Three components, as they are.
    Rgb,
    /// Four components, as they are.
    Four,
}

impl EmbeddedColour {
    pub(crate) const fn channels(self) -> usize {
        match self {
            Self::Gray => 1,
            Self::RgbFromYcbcr | Self::Rgb => 3,
            Self::Four => 4,
        }
    }

    /// The colour transform of an APP14 segment.
    const fn transform(self) -> u8 {
        match self {
            Self::RgbFromYcbcr => 1,
            Self::Gray | Self::Rgb | Self::Four => 0,
        }
    }

    const fn space(self) -> ColorSpace {
        match self {
            Self::Gray => ColorSpace::JCS_GRAYSCALE,
            Self::RgbFromYcbcr | Self::Rgb => ColorSpace::JCS_RGB,
            Self::Four => ColorSpace::JCS_CMYK,
        }
    }
}

/// Start of image, and an APP14 segment up to its transform: without one the decoder would guess
/// the colours from the components' names.
const START: [u8; 17] = *b"\xff\xd8\xff\xee\0\x0eAdobe\0\x64\0\0\0\0";

/// Decodes a JPEG stream whose tables may stand apart, as TIFF stores its strips and tiles;
/// `width` is the width that it must have, and so many rows are given as it has, at least `rows`.
///
/// Any fault and any warning is an error: of kind `UnexpectedEof` if the stream ends early, else
/// `InvalidData`.
pub(crate) fn decode_embedded(
    tables: &[u8],
    stream: &[u8],
    colour: EmbeddedColour,
    width: u32,
    rows: u32,
) -> io::Result<Vec<u8>> {
    let whole = [&START[..], &[colour.transform()], inner(tables), body(stream)].concat();
    let past_end = Cell::new(false);
    let reader = Watched { bytes: &whole, past_end: &past_end };
    let decoded = catch_unwind(AssertUnwindSafe(|| decode(reader, colour, width, rows)));
    let warned = !ffi::take_warnings().is_empty();
    if past_end.get() {
        return Err(io::ErrorKind::UnexpectedEof.into());
    }
    let invalid = |message: String| io::Error::new(io::ErrorKind::InvalidData, message);
    match decoded {
        Ok(Ok(samples)) if !warned => Ok(samples),
        Ok(Ok(_)) => Err(invalid("the coded pixels are broken".to_owned())),
        Ok(Err(fault)) => Err(invalid(fault.to_string())),
        Err(payload) => Err(invalid(payload.downcast_ref::<String>().cloned().unwrap_or_default())),
    }
}

fn decode(
    reader: Watched<'_>,
    colour: EmbeddedColour,
    width: u32,
    rows: u32,
) -> io::Result<Vec<u8>> {
    let decoder = Decompress::with_err(ffi::error_manager()).from_reader(reader)?;
    let size = decoder.size();
    if size.0 != width as usize || size.1 < rows as usize {
        let message = format!("{} x {} pixels where {width} x {rows} are due", size.0, size.1);
        return Err(io::Error::other(message));
    }
    if decoder.components().len() != colour.channels() {
        let message = format!("{} components are stored", decoder.components().len());
        return Err(io::Error::other(message));
    }
    let mut decoder = decoder.to_colorspace(colour.space())?;
    let mut samples = vec![0_u8; width as usize * colour.channels() * rows as usize];
    for row in samples.chunks_exact_mut(width as usize * colour.channels()) {
        decoder.read_scanlines_into(row)?;
    }
    Ok(samples)
}

/// Tables without the marks that start and end them.
fn inner(tables: &[u8]) -> &[u8] {
    let started = tables.strip_prefix(b"\xff\xd8").unwrap_or(tables);
    started.strip_suffix(b"\xff\xd9").unwrap_or(started)
}

fn body(stream: &[u8]) -> &[u8] {
    stream.strip_prefix(b"\xff\xd8").unwrap_or(stream)
}

struct Watched<'bytes> {
    bytes: &'bytes [u8],
    past_end: &'bytes Cell<bool>,
}

impl Read for Watched<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        self.bytes.read(buffer)
    }
}

impl BufRead for Watched<'_> {
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        if self.bytes.is_empty() {
            self.past_end.set(true);
        }
        Ok(self.bytes)
    }

    fn consume(&mut self, used: usize) {
        self.bytes.consume(used);
    }
}
