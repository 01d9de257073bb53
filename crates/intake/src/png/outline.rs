use std::io::{self, BufReader, Read};

use flate2::bufread::ZlibDecoder;

use crate::bytes::Original;
use crate::{FileFormat, IntakeError, Limits, Notice};

/// What a walk over the chunks finds, without decoding anything.
#[derive(Default)]
pub(super) struct Outline {
    pub(super) width: u32,
    pub(super) height: u32,
    pub(super) interlaced: bool,
    /// The first eXIf chunk, before or after the pixels.
    pub(super) exif: Option<Vec<u8>>,
    /// The content of the first iCCP chunk.
    packed_profile: Option<Vec<u8>>,
    packed_profile_bytes: u64,
    /// Bytes of compressed pixels.
    pub(super) pixel_bytes: u64,
    animated: bool,
    /// Place after the last chunk; `None` if the file ends before it.
    end: Option<u64>,
}

const SIGNATURE_BYTES: u64 = 8;
/// Length, name and check sum around a chunk's content.
const CHUNK_FRAME: u64 = 12;
const CHECK_SUM: u64 = 4;
/// Largest Exif data that is read; our choice: Exif is at most 64 KiB in JPEG files.
const MOST_EXIF: u64 = 1 << 20;
/// Longest name of a profile, with the zero that ends it (PNG, 11.3.2.3).
const LONGEST_PROFILE_NAME: usize = 80;

impl Outline {
    /// Walks from the header to the IEND chunk or to the end of the file.
    pub(super) fn read(original: &mut Original, limits: &Limits) -> Result<Self, IntakeError> {
        let mut outline = Self::default();
        outline.walk(original, limits).map_err(|fault| match fault.kind() {
            io::ErrorKind::UnexpectedEof => IntakeError::cut_in_header(FileFormat::Png),
            _ => IntakeError::reading("reading the PNG file", fault),
        })?;
        Ok(outline)
    }

    fn walk(&mut self, original: &mut Original, limits: &Limits) -> io::Result<()> {
        let length = original.length();
        let most_profile = limits.max_profile_bytes as u64;
        let mut bytes = BufReader::new(original.at_start()?);
        bytes.seek_relative(SIGNATURE_BYTES.cast_signed())?;
        self.take_header(&mut bytes)?;
        let mut place = SIGNATURE_BYTES + CHUNK_FRAME + 13;
        while length.saturating_sub(place) >= CHUNK_FRAME && self.end.is_none() {
            let size = u64::from(u32::from_be_bytes(take(&mut bytes)?));
            let name: [u8; 4] = take(&mut bytes)?;
            place += CHUNK_FRAME + size;
            if place > length {
                return Ok(());
            }
            match &name {
                b"iCCP" if self.packed_profile.is_none() && size <= most_profile => {
                    self.packed_profile = Some(content(&mut bytes, size)?);
                }
                b"eXIf" if self.exif.is_none() && size <= MOST_EXIF => {
                    self.exif = Some(content(&mut bytes, size)?);
                }
                _ => {
                    self.note(&name, size, place);
                    bytes.seek_relative(size.cast_signed())?;
                }
            }
            bytes.seek_relative(CHECK_SUM.cast_signed())?;
        }
        Ok(())
    }

    /// The first chunk; what is wrong with it is left to the decoder.
    fn take_header(&mut self, bytes: &mut impl Read) -> io::Result<()> {
        let [_length, _name] = [take::<4>(bytes)?, take::<4>(bytes)?];
        self.width = u32::from_be_bytes(take(bytes)?);
        self.height = u32::from_be_bytes(take(bytes)?);
        let [_bits, _colours, _compression, _filter, interlace] = take(bytes)?;
        self.interlaced = interlace != 0;
        take::<4>(bytes).map(|_check_sum| ())
    }

    fn note(&mut self, name: &[u8; 4], size: u64, place_after: u64) {
        match name {
            b"IDAT" => self.pixel_bytes += size,
            b"iCCP" => self.packed_profile_bytes = size,
            // Too large: left empty, which is told as unreadable.
            b"eXIf" if self.exif.is_none() => self.exif = Some(Vec::new()),
            b"acTL" => self.animated = true,
            b"IEND" => self.end = Some(place_after),
            _ => {}
        }
    }

    /// The embedded profile; a notice if it can't be unpacked.
    pub(super) fn profile(
        &self,
        limits: &Limits,
        notices: &mut Vec<Notice>,
    ) -> Result<Option<Vec<u8>>, IntakeError> {
        limits.check_profile(self.packed_profile_bytes)?;
        let Some(packed) = &self.packed_profile else {
            return Ok(None);
        };
        let unpacked = unpack(packed, limits.max_profile_bytes as u64);
        match &unpacked {
            Some(profile) => limits.check_profile(profile.len() as u64)?,
            None => {
                let reason = "it can't be unpacked".to_owned();
                notices.push(Notice::ProfileUnusable { reason });
            }
        }
        Ok(unpacked)
    }

    /// Whether the file reaches its end mark.
    pub(super) const fn is_complete(&self) -> bool {
        self.end.is_some()
    }

    pub(super) fn notices(&self, file_bytes: u64) -> Vec<Notice> {
        let trailing = self.end.map_or(0, |end| file_bytes.saturating_sub(end));
        let notice = Notice::TrailingBytes { format: FileFormat::Png, bytes: trailing };
        let trailing = (trailing > 0).then_some(notice);
        let further = self.animated.then_some(Notice::FurtherPictures { page: 1, pages: None });
        trailing.into_iter().chain(further).collect()
    }
}

fn content(bytes: &mut impl Read, size: u64) -> io::Result<Vec<u8>> {
    let mut content = Vec::new();
    bytes.take(size).read_to_end(&mut content)?;
    Ok(content)
}

/// Unpacks an iCCP chunk: name, zero, method 0, zlib data. At most one byte over the limit.
fn unpack(chunk: &[u8], most: u64) -> Option<Vec<u8>> {
    let named = chunk.iter().take(LONGEST_PROFILE_NAME).position(|byte| *byte == 0)?;
    let packed = chunk.get(named + 1..)?.strip_prefix(&[0])?;
    let mut profile = Vec::new();
    ZlibDecoder::new(packed).take(most + 1).read_to_end(&mut profile).ok()?;
    Some(profile)
}

fn take<const N: usize>(bytes: &mut impl Read) -> io::Result<[u8; N]> {
    let mut taken = [0; N];
    bytes.read_exact(&mut taken)?;
    Ok(taken)
}
