use std::collections::BTreeSet;
use std::io::{self, BufRead, BufReader, Read};

use crate::bytes::{Original, READ_AHEAD};
use crate::{FileFormat, IntakeError, Limits, Notice, Resolution};

use super::frame::Frame;
use super::segments::Segments;

/// What a walk over the markers of the whole file finds, without decoding anything.
#[derive(Default)]
pub(super) struct Outline {
    pub(super) frame: Option<Frame>,
    pub(super) scans: u32,
    pub(super) first_scan_components: usize,
    segments: Segments,
    /// Components of which the mean of every block is stored.
    coded: BTreeSet<u8>,
    /// Place after the end marker; `None` if the file ends before it.
    end: Option<u64>,
}

impl Outline {
    /// Walks from the first marker to the end marker or the end of the file.
    pub(super) fn read(original: &mut Original, limits: &Limits) -> Result<Self, IntakeError> {
        let mut outline = Self::default();
        let mut walker = original
            .at_start()
            .map(Walker::new)
            .map_err(|fault| IntakeError::reading("reading the JPEG file", fault))?;
        loop {
            match outline.step(&mut walker, limits) {
                Ok(true) => {}
                Ok(false) => return Ok(outline),
                Err(Stop::Refused(refusal)) => return Err(refusal),
                Err(Stop::Fault(fault)) if fault.kind() == io::ErrorKind::UnexpectedEof => {
                    return Ok(outline);
                }
                Err(Stop::Fault(fault)) => {
                    return Err(IntakeError::reading("reading the JPEG file", fault));
                }
            }
        }
    }

    /// Reads one marker and its segment; whether there is more (ITU-T T.81, table B.1).
    fn step(&mut self, walker: &mut Walker<'_>, limits: &Limits) -> Result<bool, Stop> {
        match walker.next_marker()? {
            0xd9 => {
                self.end = Some(walker.place);
                return Ok(false);
            }
            // Markers that stand alone, and bytes stuffed into a scan.
            0x00 | 0x01 | 0xd0..=0xd8 => {}
            0xda => self.scan(&walker.segment()?),
            marker @ (0xc0..=0xc3 | 0xc5..=0xc7 | 0xc9..=0xcb | 0xcd..=0xcf) => {
                self.take_frame(marker, &walker.segment()?)?;
            }
            marker if self.scans == 0 && Segments::may_matter(marker) => {
                self.segments.keep(marker, &walker.segment()?);
                limits.check_profile(self.segments.profile_bytes())?;
            }
            _ => walker.skip_segment()?,
        }
        Ok(true)
    }

    fn take_frame(&mut self, marker: u8, body: &[u8]) -> Result<(), IntakeError> {
        if self.frame.is_some() {
            let detail = "it describes two pictures at once";
            return Err(IntakeError::corrupt(FileFormat::Jpeg, detail));
        }
        self.frame = Some(Frame::read(marker, body)?);
        Ok(())
    }

    /// Notes what a scan holds: the count of components, a pair of bytes for each, and the first
    /// coefficient, which is 0 if the mean of a block is stored (ITU-T T.81, B.2.3).
    fn scan(&mut self, body: &[u8]) {
        let count = body.first().copied().map_or(0, usize::from);
        let listed = body.get(1..=2 * count).unwrap_or_default();
        if self.scans == 0 {
            self.first_scan_components = count;
        }
        self.scans += 1;
        if body.get(1 + 2 * count) == Some(&0) {
            self.coded.extend(listed.iter().step_by(2));
        }
    }

    /// Whether the file reaches its end marker.
    pub(super) const fn is_complete(&self) -> bool {
        self.end.is_some()
    }

    /// Whether a scan stores the component.
    pub(super) fn is_coded(&self, component: u8) -> bool {
        self.coded.contains(&component)
    }

    pub(super) fn exif(&self) -> Option<&[u8]> {
        self.segments.exif()
    }

    pub(super) fn density(&self) -> Option<Result<Resolution, Notice>> {
        self.segments.density()
    }

    /// Whether an APP14 segment states the colour transform; its writers invert CMYK.
    pub(super) const fn states_transform(&self) -> bool {
        self.segments.colour_transform().is_some()
    }

    /// The embedded profile, or a notice if its pieces don't fit together.
    pub(super) fn profile(&self, notices: &mut Vec<Notice>) -> Option<Vec<u8>> {
        self.segments.profile().unwrap_or_else(|notice| {
            notices.push(notice);
            None
        })
    }

    pub(super) fn notices(&self, file_bytes: u64) -> Vec<Notice> {
        let trailing = self.end.map_or(0, |end| file_bytes.saturating_sub(end));
        let notice = Notice::TrailingBytes { format: FileFormat::Jpeg, bytes: trailing };
        (trailing > 0).then_some(notice).into_iter().collect()
    }
}

/// Why the walk stops early.
enum Stop {
    Refused(IntakeError),
    Fault(io::Error),
}

impl From<IntakeError> for Stop {
    fn from(refusal: IntakeError) -> Self {
        Self::Refused(refusal)
    }
}

impl From<io::Error> for Stop {
    fn from(fault: io::Error) -> Self {
        Self::Fault(fault)
    }
}

/// Goes from marker to marker and knows its place.
struct Walker<'original> {
    bytes: BufReader<&'original mut Original>,
    place: u64,
}

impl<'original> Walker<'original> {
    fn new(original: &'original mut Original) -> Self {
        Self { bytes: BufReader::with_capacity(READ_AHEAD, original), place: 0 }
    }

    /// Skips what is no marker (entropy-coded data, or bytes that should not be there) and reads
    /// the next one.
    fn next_marker(&mut self) -> io::Result<u8> {
        self.place += self.bytes.skip_until(0xff)? as u64;
        loop {
            let [code] = self.take()?;
            // Any number of fill bytes may stand before the code.
            if code != 0xff {
                return Ok(code);
            }
        }
    }

    /// The body of the segment that follows, without its length.
    fn segment(&mut self) -> io::Result<Vec<u8>> {
        let mut body = vec![0; self.segment_length()?.into()];
        self.bytes.read_exact(&mut body)?;
        self.place += body.len() as u64;
        Ok(body)
    }

    fn skip_segment(&mut self) -> io::Result<()> {
        let length = self.segment_length()?;
        self.bytes.seek_relative(length.into())?;
        self.place += u64::from(length);
        Ok(())
    }

    /// Bytes of the segment after its length, which counts itself.
    fn segment_length(&mut self) -> io::Result<u16> {
        let length = u16::from_be_bytes(self.take()?);
        Ok(length.saturating_sub(2))
    }

    fn take<const N: usize>(&mut self) -> io::Result<[u8; N]> {
        let mut bytes = [0; N];
        self.bytes.read_exact(&mut bytes)?;
        self.place += N as u64;
        Ok(bytes)
    }
}
