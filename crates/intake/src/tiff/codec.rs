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
    /// RFC 8878, under the number that its users agreed on.
    Zstandard,
    /// ITU-T T.81 streams with shared tables (TIFF Technical Note 2).
    Jpeg,
    /// ITU-T T.4 without ends of lines, rows start at bytes (TIFF 6.0, section 10).
    FaxRuns,
    /// ITU-T T.4 (TIFF 6.0, section 11).
    FaxGroup3,
    /// ITU-T T.6 (TIFF 6.0, section 11).
    FaxGroup4,
}

impl Codec {
    /// Reads the Compression tag.
    pub(super) fn from_tag(tag: u64) -> Result<Self, IntakeError> {
        let name = match tag {
            1 => return Ok(Self::Raw),
            5 => return Ok(Self::Lzw),
            8 | 32_946 => return Ok(Self::Deflate),
            32_773 => return Ok(Self::PackBits),
            2 => return Ok(Self::FaxRuns),
            3 => return Ok(Self::FaxGroup3),
            4 => return Ok(Self::FaxGroup4),
            7 => return Ok(Self::Jpeg),
            34_926 | 50_000 => return Ok(Self::Zstandard),
            6 => "old-style JPEG",
            34_892 => "camera JPEG",
            34_712 => "JPEG 2000",
            34_925 => "LZMA",
            34_927 | 50_001 => "WebP",
            _ => "unknown",
        };
        Err(IntakeError::unsupported(
            format!("a TIFF file with {name} compression ({tag})"),
            "save it with LZW, ZIP or no compression",
        ))
    }

    /// The most bytes that one stored byte can become, of rows of so many bytes.
    pub(super) const fn best(self, row_bytes: u64) -> u64 {
        match self {
            Self::Raw => 1,
            Self::PackBits => 64,
            Self::Lzw => LZW_BEST,
            Self::Deflate => DEFLATE_BEST,
            Self::Zstandard => ZSTANDARD_BEST,
            Self::Jpeg => JPEG_BEST,
            Self::FaxRuns | Self::FaxGroup3 | Self::FaxGroup4 => row_bytes.saturating_mul(8),
        }
    }

    pub(super) const fn best_reason(self) -> &'static str {
        match self {
            Self::Raw => "they are stored uncompressed",
            Self::PackBits => "PackBits makes 128 bytes of two at the most",
            Self::Lzw => "LZW makes 4,096 bytes of nine bits at the most",
            Self::Deflate => "deflate makes 1,032 bytes of one at the most",
            Self::Zstandard => "Zstandard makes 131,072 bytes of four at the most",
            Self::Jpeg => "a block of 8 x 8 samples takes one bit at the least",
            Self::FaxRuns | Self::FaxGroup3 | Self::FaxGroup4 => "a row takes one bit at the least",
        }
    }

    /// Whether samples may be stored as differences (TIFF 6.0, section 14, and the technical
    /// note for deflate).
    pub(super) const fn has_predictor(self) -> bool {
        matches!(self, Self::Lzw | Self::Deflate | Self::Zstandard)
    }

    pub(super) const fn is_fax(self) -> bool {
        matches!(self, Self::FaxRuns | Self::FaxGroup3 | Self::FaxGroup4)
    }

    /// Whether a check sum stands behind the pixels of a chunk.
    pub(super) const fn ends_with_check_sum(self) -> bool {
        matches!(self, Self::Deflate | Self::Zstandard)
    }

    /// Whether a chunk is unpacked as a whole, not as a stream.
    pub(super) const fn unpacks_at_once(self) -> bool {
        matches!(self, Self::Jpeg | Self::FaxRuns | Self::FaxGroup3 | Self::FaxGroup4)
    }

    /// Unpacks the bytes of one chunk as a stream.
    pub(super) fn unpack(self, chunk: impl BufRead + Send + 'static) -> Box<dyn Read + Send> {
        match self {
            Self::Zstandard => Box::new(Zstandard::Waiting(Some(chunk))),
            Self::Raw | Self::Jpeg | Self::FaxRuns | Self::FaxGroup3 | Self::FaxGroup4 => {
                Box::new(chunk)
            }
            Self::PackBits => Box::new(PackBits::new(chunk)),
            Self::Lzw => Box::new(Lzw::new(chunk)),
            Self::Deflate => Box::new(flate2::bufread::ZlibDecoder::new(chunk)),
        }
    }
}

/// No string of the table of 4,096 is longer than the table, and no code shorter than nine bits.
const LZW_BEST: u64 = 4096 * 8 / 9 + 1;

/// A block of repeated bytes takes a header of three bytes and the byte (RFC 8878, 3.1.1.2).
const ZSTANDARD_BEST: u64 = (128 << 10) / 4;
/// 64 samples of a bit; the densest subsampling makes 16 pixels of three samples from 18 blocks of
/// which two are colour, so that two thirds more are a safe bound.
const JPEG_BEST: u64 = 64 * 8 * 8 / 3;
/// Largest window of a Zstandard stream; our choice: RFC 8878, 3.1.1.1.2, asks for 8 MiB, and
/// writers that pack a strip at once state the whole strip.
const ZSTANDARD_WINDOW: u64 = 64 << 20;

type ZstandardStream<R> = ruzstd::decoding::StreamingDecoder<R, ruzstd::decoding::FrameDecoder>;

/// A stream whose header is read with the first byte, where faults can be told.
enum Zstandard<R: Read> {
    Waiting(Option<R>),
    Running(Box<ZstandardStream<R>>),
}

impl<R: BufRead> Read for Zstandard<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if let Self::Waiting(chunk) = self {
            let Some(mut chunk) = chunk.take() else {
                return Ok(0);
            };
            if chunk.fill_buf()?.is_empty() {
                return Ok(0);
            }
            let started = ZstandardStream::new_with_max_window_size(chunk, ZSTANDARD_WINDOW);
            *self = Self::Running(Box::new(started.map_err(invalid)?));
        }
        match self {
            Self::Running(stream) => stream.read(buffer).map_err(cut_or_invalid),
            Self::Waiting(_) => Ok(0),
        }
    }
}

fn invalid(fault: impl std::fmt::Display) -> io::Error {
    io::Error::new(io::ErrorKind::InvalidData, fault.to_string())
}

/// The library hides the end of the stream inside its own errors.
fn cut_or_invalid(fault: io::Error) -> io::Error {
    let mut cause: Option<&dyn std::error::Error> = fault.get_ref().map(|inner| inner as _);
    while let Some(inner) = cause {
        let ended = inner.downcast_ref::<io::Error>().map(io::Error::kind);
        if ended == Some(io::ErrorKind::UnexpectedEof) {
            return io::ErrorKind::UnexpectedEof.into();
        }
        cause = inner.source();
    }
    invalid(fault)
}

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
        assert!(zeros.len() as u64 / lzw.len() as u64 <= Codec::Lzw.best(1));
        let mut unpacked = Vec::new();
        Lzw::new(&lzw[..]).read_to_end(&mut unpacked).unwrap();
        assert_eq!(unpacked, zeros);
    }

    #[test]
    fn a_compression_that_is_not_read_is_named() {
        let message = Codec::from_tag(6).unwrap_err().to_string();
        assert_eq!(
            message,
            "a TIFF file with old-style JPEG compression (6) is not read; save it with LZW, ZIP \
             or no compression"
        );
    }
}
