use std::io::{self, BufRead, BufReader, Read};

use crate::IntakeError;
use crate::limits::DEFLATE_BEST;

/// How chunks are compressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Codec {
    /// Not at all.
    Raw,
    /// Run lengths of bytes (TIFF 6.0, section 9).
    PackBits,
    /// TIFF 6.0, section 13.
    Lzw,
    /// zlib data (TIFF Technical Notes of 2002, "ZIP compression").
    Deflate,
}

impl Codec {
    /// Reads the Compression tag.
    pub(super) fn from_tag(tag: u64) -> Result<Self, IntakeError> {
        let name = match tag {
            1 => return Ok(Self::Raw),
            5 => return Ok(Self::Lzw),
            8 | 32_946 => return Ok(Self::Deflate),
            32_773 => return Ok(Self::PackBits),
            2..=4 => "fax",
            6 | 7 | 34_892 => "JPEG",
            34_712 => "JPEG 2000",
            34_925 => "LZMA",
            34_926 | 50_000 => "Zstandard",
            34_927 | 50_001 => "WebP",
            _ => "unknown",
        };
        Err(IntakeError::unsupported(
            format!("a TIFF file with {name} compression ({tag})"),
            "save it with LZW, ZIP or no compression",
        ))
    }

    /// The most bytes that one stored byte can become.
    pub(super) const fn best(self) -> u64 {
        match self {
            Self::Raw => 1,
            Self::PackBits => 64,
            Self::Lzw => LZW_BEST,
            Self::Deflate => DEFLATE_BEST,
        }
    }

    pub(super) const fn best_reason(self) -> &'static str {
        match self {
            Self::Raw => "they are stored uncompressed",
            Self::PackBits => "PackBits makes 128 bytes of two at the most",
            Self::Lzw => "LZW makes 4,096 bytes of nine bits at the most",
            Self::Deflate => "deflate makes 1,032 bytes of one at the most",
        }
    }

    /// Whether samples may be stored as differences (TIFF 6.0, section 14, and the technical
    /// note for deflate).
    pub(super) const fn has_predictor(self) -> bool {
        matches!(self, Self::Lzw | Self::Deflate)
    }

    /// Unpacks the bytes of one chunk.
    pub(super) fn unpack(self, chunk: impl BufRead + Send + 'static) -> Box<dyn Read + Send> {
        match self {
            Self::Raw => Box::new(chunk),
            Self::PackBits => Box::new(PackBits::new(chunk)),
            Self::Lzw => Box::new(Lzw::new(chunk)),
            Self::Deflate => Box::new(flate2::bufread::ZlibDecoder::new(chunk)),
        }
    }
}

/// No string of the table of 4,096 is longer than the table, and no code shorter than nine bits.
const LZW_BEST: u64 = 4096 * 8 / 9 + 1;

struct PackBits<R> {
    bytes: R,
    run: Run,
}

/// What is left of the run that is being unpacked.
enum Run {
    Copied(usize),
    Repeated(usize, u8),
}

impl<R: BufRead> PackBits<R> {
    const fn new(bytes: R) -> Self {
        Self { bytes, run: Run::Copied(0) }
    }

    /// Reads headers until one starts a run; whether there was one.
    fn next_run(&mut self) -> io::Result<bool> {
        while let Run::Copied(0) | Run::Repeated(0, _) = self.run {
            if self.bytes.fill_buf()?.is_empty() {
                return Ok(false);
            }
            match take(&mut self.bytes)? {
                copied @ 0..=127 => self.run = Run::Copied(usize::from(copied) + 1),
                128 => {}
                repeated => {
                    let length = 257 - usize::from(repeated);
                    self.run = Run::Repeated(length, take(&mut self.bytes)?);
                }
            }
        }
        Ok(true)
    }
}

impl<R: BufRead> Read for PackBits<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if buffer.is_empty() || !self.next_run()? {
            return Ok(0);
        }
        match &mut self.run {
            Run::Copied(left) => {
                let wanted = buffer.len().min(*left);
                let read = self.bytes.read(&mut buffer[..wanted])?;
                *left -= read;
                Ok(read)
            }
            Run::Repeated(left, value) => {
                let filled = buffer.len().min(*left);
                buffer[..filled].fill(*value);
                *left -= filled;
                Ok(filled)
            }
        }
    }
}

fn take(bytes: &mut impl Read) -> io::Result<u8> {
    let mut byte = [0];
    bytes.read_exact(&mut byte)?;
    Ok(byte[0])
}

struct Lzw<R> {
    bytes: R,
    decoder: weezl::decode::Decoder,
    started: bool,
    ended: bool,
}

impl<R: BufRead> Lzw<R> {
    fn new(bytes: R) -> Self {
        let settings = weezl::decode::Configuration::with_tiff_size_switch(weezl::BitOrder::Msb, 8);
        Self {
            bytes,
            decoder: settings.with_yield_on_full_buffer(true).build(),
            started: false,
            ended: false,
        }
    }
}

impl<R: BufRead> Lzw<R> {
    /// Every stream starts with the code that clears the table. Writers from before TIFF 6.0
    /// turned the bits around; their streams would unpack to nonsense.
    fn check_start(&mut self) -> io::Result<()> {
        let first = self.bytes.fill_buf()?.first().copied();
        self.started = true;
        if first.is_none_or(|first| first == CLEAR_CODE_START) {
            return Ok(());
        }
        let detail = "LZW data don't start with the clear code, as in files from before 1992";
        Err(io::Error::new(io::ErrorKind::InvalidData, detail))
    }
}

/// The upper eight of the nine bits of code 256.
const CLEAR_CODE_START: u8 = 0x80;

impl<R: BufRead> Read for Lzw<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if !self.started {
            self.check_start()?;
        }
        while !self.ended && !buffer.is_empty() {
            let packed = self.bytes.fill_buf()?;
            let at_end = packed.is_empty();
            let outcome = self.decoder.decode_bytes(packed, buffer);
            self.bytes.consume(outcome.consumed_in);
            match outcome.status {
                Ok(weezl::LzwStatus::Done) => self.ended = true,
                Ok(weezl::LzwStatus::Ok | weezl::LzwStatus::NoProgress) => {
                    self.ended = at_end && outcome.consumed_out == 0;
                }
                Err(fault) => return Err(io::Error::new(io::ErrorKind::InvalidData, fault)),
            }
            if outcome.consumed_out > 0 {
                return Ok(outcome.consumed_out);
            }
        }
        Ok(0)
    }
}

/// Reads a chunk in steps that suit its size.
pub(super) fn buffered<R: Read>(chunk: R, chunk_bytes: u64) -> BufReader<R> {
    let most = crate::bytes::READ_AHEAD;
    let capacity = usize::try_from(chunk_bytes).map_or(most, |bytes| bytes.clamp(1, most));
    BufReader::with_capacity(capacity, chunk)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_published_example_unpacks() {
        // From technical note 1023, "Understanding PackBits", which TIFF 6.0 builds on.
        let packed: &[u8] = &[
            0xfe, 0xaa, 0x02, 0x80, 0x00, 0x2a, 0xfd, 0xaa, 0x03, 0x80, 0x00, 0x2a, 0x22, 0xf7,
            0xaa,
        ];
        let mut unpacked = Vec::new();
        PackBits::new(packed).read_to_end(&mut unpacked).unwrap();
        let runs: [&[u8]; 5] =
            [&[0xaa; 3], &[0x80, 0x00, 0x2a], &[0xaa; 4], &[0x80, 0x00, 0x2a, 0x22], &[0xaa; 10]];
        assert_eq!(unpacked, runs.concat());
    }

    #[test]
    fn the_longest_expansions_stay_below_the_stated_best() {
        let zeros = vec![0; 8 << 20];
        let lzw = weezl::encode::Encoder::with_tiff_size_switch(weezl::BitOrder::Msb, 8)
            .encode(&zeros)
            .unwrap();
        assert!(zeros.len() as u64 / lzw.len() as u64 <= Codec::Lzw.best());
        let mut unpacked = Vec::new();
        Lzw::new(&lzw[..]).read_to_end(&mut unpacked).unwrap();
        assert_eq!(unpacked, zeros);
    }

    #[test]
    fn a_compression_that_is_not_read_is_named() {
        let message = Codec::from_tag(7).unwrap_err().to_string();
        assert_eq!(
            message,
            "a TIFF file with JPEG compression (7) is not read; save it with LZW, ZIP or no \
             compression"
        );
    }
}
