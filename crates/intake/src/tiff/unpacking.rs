use std::io::{self, BufRead, Cursor, Read};

use crate::jpeg::{EmbeddedColour, decode_embedded};

use super::codec::Codec;
use super::fax::{FaxForm, unpack_fax};
use super::ycbcr::{YcbcrForm, YcbcrRows};

/// How the stored bytes of a chunk become rows of samples.
#[derive(Clone)]
pub(super) struct Unpacking {
    pub(super) codec: Codec,
    /// The lowest bit of a byte comes first (FillOrder 2).
    pub(super) reversed: bool,
    pub(super) fax: FaxForm,
    /// Tables that all JPEG chunks share, and what their components become.
    pub(super) jpeg: Option<(Vec<u8>, EmbeddedColour)>,
    /// Pixels are stored as YCbCr, and not within JPEG.
    pub(super) ycbcr: Option<YcbcrForm>,
}

impl Unpacking {
    /// Bits of a stored pixel before compression, of which `delivered` bits come out.
    pub(super) const fn stored_bits(&self, delivered: usize) -> usize {
        match &self.ycbcr {
            // Luma alone, as colour may be shared by many pixels.
            Some(_) => 8,
            None => delivered,
        }
    }

    /// Unpacks the bytes of one chunk of so many pixels.
    pub(super) fn unpack(
        &self,
        chunk: impl BufRead + Send + 'static,
        (width, rows): (u32, u32),
    ) -> Box<dyn Read + Send> {
        if self.codec.unpacks_at_once() {
            return Box::new(AtOnce {
                packed: Some(Box::new(chunk)),
                unpacking: self.clone(),
                size: (width, rows),
                rows: Cursor::default(),
            });
        }
        let bytes = if self.reversed {
            self.codec.unpack(io::BufReader::new(Reversed(chunk)))
        } else {
            self.codec.unpack(chunk)
        };
        match &self.ycbcr {
            Some(form) => Box::new(YcbcrRows::new(bytes, form.clone(), width)),
            None => bytes,
        }
    }
}

/// A chunk that is unpacked when its first row is asked for.
struct AtOnce {
    packed: Option<Box<dyn Read + Send>>,
    unpacking: Unpacking,
    size: (u32, u32),
    rows: Cursor<Vec<u8>>,
}

impl AtOnce {
    fn unpack(&self, mut chunk: Box<dyn Read + Send>) -> io::Result<Vec<u8>> {
        let (width, rows) = self.size;
        let mut packed = Vec::new();
        chunk.read_to_end(&mut packed)?;
        if let Some((tables, colour)) = &self.unpacking.jpeg {
            return decode_embedded(tables, &packed, *colour, width, rows);
        }
        if self.unpacking.reversed {
            packed.iter_mut().for_each(|byte| *byte = byte.reverse_bits());
        }
        unpack_fax(&packed, self.unpacking.codec, self.unpacking.fax, width, rows)
    }
}

impl Read for AtOnce {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if let Some(packed) = self.packed.take() {
            self.rows = Cursor::new(self.unpack(packed)?);
        }
        self.rows.read(buffer)
    }
}

/// Bytes whose bits are turned around.
struct Reversed<R>(R);

impl<R: Read> Read for Reversed<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let read = self.0.read(buffer)?;
        buffer[..read].iter_mut().for_each(|byte| *byte = byte.reverse_bits());
        Ok(read)
    }
}
