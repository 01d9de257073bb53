use std::io::{self, Read};

use flate2::bufread::ZlibDecoder;
use hayro::hayro_syntax::Filter;
use hayro::hayro_syntax::Pdf;
use hayro::hayro_syntax::object::{Dict, Name, Object, Stream};

use crate::{FileFormat, IntakeError};

use super::corrupt;

const END_MARK: &[u8] = b"%%EOF";
const TABLE_MARK: &[u8] = b"startxref";

/// Refuses a file without the end that every complete one has: the place of its table of objects,
/// and an end mark (ISO 32000-2, 7.5.5).
///
/// The renderer's library would look for objects all over a cut file, and draw what it finds.
/// Bytes behind the end mark are let pass.
pub(super) fn check_end(file: &[u8]) -> Result<(), IntakeError> {
    let cut = || IntakeError::cut_in_header(FileFormat::Pdf);
    let end = last_place(file, END_MARK).ok_or_else(cut)?;
    let table = last_place(&file[..end], TABLE_MARK).ok_or_else(cut)?;
    let digits = file[table + TABLE_MARK.len()..end].trim_ascii();
    let place: usize = str::from_utf8(digits)
        .ok()
        .and_then(|digits| digits.parse().ok())
        .ok_or_else(|| corrupt("the place of its table of objects is no number"))?;
    // The first part of a file that is laid out for the web states 0: the rest is then missing.
    if place == 0 || place >= file.len() {
        return Err(cut());
    }
    let window = &file[place..file.len().min(place + 64)];
    let table = window.trim_ascii_start();
    if table.starts_with(b"xref") || table.first().is_some_and(u8::is_ascii_digit) {
        Ok(())
    } else {
        Err(corrupt("its table of objects is not where it should be"))
    }
}

fn last_place(file: &[u8], mark: &[u8]) -> Option<usize> {
    file.windows(mark.len()).rposition(|part| part == mark)
}

/// Refuses deflated streams that don't unpack to their check sum, pictures with fewer samples than
/// their sides need, and JPEG pictures without their end: the renderer draws as much of them as it
/// can.
pub(super) fn check_streams(pdf: &Pdf) -> Result<(), IntakeError> {
    for object in pdf.objects() {
        if let Object::Stream(stream) = object {
            check_stream(&stream)?;
        }
    }
    Ok(())
}

fn check_stream(stream: &Stream<'_>) -> Result<(), IntakeError> {
    let number = stream.obj_id().obj_number;
    let packed = stream.raw_data();
    let held = match stream.filters()[..] {
        [] => Some(packed.len() as u64),
        [Filter::FlateDecode] => unpacked_length(&packed),
        [Filter::FlateDecode, ..] => unpacked_length(&packed).map(|_| u64::MAX),
        [Filter::DctDecode, ..] => last_place(&packed, b"\xff\xd9").map(|_| u64::MAX),
        _ => Some(u64::MAX),
    };
    match held {
        None => Err(corrupt(format!("object {number} can't be unpacked"))),
        Some(held) if held < least_bytes(stream.dict()).min(MOST_UNPACKED) => {
            Err(corrupt(format!("object {number} holds fewer samples than its picture has")))
        }
        Some(_) => Ok(()),
    }
}

/// The fewest bytes of a picture's samples (ISO 32000-2, 8.9.5): one component where its colours
/// are not the device's. Nothing for other streams.
fn least_bytes(picture: &Dict<'_>) -> u64 {
    let is_picture =
        picture.get::<Name<'_>>(b"Subtype").is_some_and(|kind| kind.as_str() == "Image");
    if !is_picture {
        return 0;
    }
    let number = |key: &[u8]| picture.get::<u32>(key).map_or(0, u64::from);
    let mask = picture.get::<bool>(b"ImageMask").unwrap_or(false);
    let bits = if mask { 1 } else { number(b"BitsPerComponent") };
    let space = picture.get::<Name<'_>>(b"ColorSpace");
    let components = match space.as_ref().map(Name::as_str) {
        Some("DeviceRGB") => 3,
        Some("DeviceCMYK") => 4,
        _ => 1,
    };
    let row = (number(b"Width") * components).saturating_mul(bits).div_ceil(8);
    row.saturating_mul(number(b"Height"))
}

/// Most bytes that a stream may unpack to while it is checked; our choice, above any picture that
/// is drawn here. Longer ones are left to the renderer.
const MOST_UNPACKED: u64 = 2 << 30;

fn unpacked_length(packed: &[u8]) -> Option<u64> {
    let mut unpacked = ZlibDecoder::new(packed).take(MOST_UNPACKED);
    io::copy(&mut unpacked, &mut io::sink()).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_without_its_end_is_cut() {
        for file in [&b"%PDF-1.7\n"[..], b"%PDF-1.7\nstartxref\n0\n%%EOF", b"startxref\n999\n%%EOF"]
        {
            let refused = check_end(file);
            assert!(matches!(refused, Err(IntakeError::Truncated { .. })), "{refused:?}");
        }
    }

    #[test]
    fn a_table_must_be_where_the_end_says() {
        assert!(check_end(b"%PDF-1.7\nxref\nstartxref\n9\n%%EOF\n and more").is_ok());
        assert!(check_end(b"%PDF-1.7\nxref\nstartxref\n4\n%%EOF\n").is_err());
    }
}
