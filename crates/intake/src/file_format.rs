use std::fmt;

use crate::IntakeError;

/// The kind of an image file, decided by its first bytes and never by its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FileFormat {
    /// ITU-T T.81 data, with or without JFIF and Exif.
    Jpeg,
    /// Portable Network Graphics, 3rd edition.
    Png,
    /// TIFF 6.0 and its 64-bit form.
    Tiff,
    /// WebP (RFC 9649).
    WebP,
    /// GIF 87a and 89a.
    Gif,
    /// Device-independent bitmaps.
    Bmp,
    /// PBM, PGM, PPM and PAM.
    Pnm,
    /// Scalable Vector Graphics 1.1, static.
    Svg,
    /// ISO 32000.
    Pdf,
}

impl FileFormat {
    /// Every kind.
    pub const ALL: [Self; 9] = [
        Self::Jpeg,
        Self::Png,
        Self::Tiff,
        Self::WebP,
        Self::Gif,
        Self::Bmp,
        Self::Pnm,
        Self::Svg,
        Self::Pdf,
    ];
}

impl fmt::Display for FileFormat {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::Jpeg => "JPEG",
            Self::Png => "PNG",
            Self::Tiff => "TIFF",
            Self::WebP => "WebP",
            Self::Gif => "GIF",
            Self::Bmp => "BMP",
            Self::Pnm => "PNM",
            Self::Svg => "SVG",
            Self::Pdf => "PDF",
        })
    }
}

/// Bytes that [`recognise`] wants to see.
pub(crate) const LONGEST_MARK: u64 = 4096;

const READ_HERE: [(FileFormat, &[u8]); 17] = [
    (FileFormat::Jpeg, b"\xff\xd8\xff"),
    (FileFormat::Png, b"\x89PNG\r\n\x1a\n"),
    (FileFormat::Tiff, b"II*\0"),
    (FileFormat::Tiff, b"MM\0*"),
    (FileFormat::Tiff, b"II+\0"),
    (FileFormat::Tiff, b"MM\0+"),
    (FileFormat::Gif, b"GIF87a"),
    (FileFormat::Gif, b"GIF89a"),
    (FileFormat::Bmp, b"BM"),
    (FileFormat::Pnm, b"P1"),
    (FileFormat::Pnm, b"P2"),
    (FileFormat::Pnm, b"P3"),
    (FileFormat::Pnm, b"P4"),
    (FileFormat::Pnm, b"P5"),
    (FileFormat::Pnm, b"P6"),
    (FileFormat::Pnm, b"P7\n"),
    (FileFormat::Pdf, b"%PDF-"),
];

/// Marks of formats that are known and not read: place of the mark, mark, name.
const KNOWN_ONLY: [(usize, &[u8], &str); 11] = [
    (0, b"8BPS", "a layered document"),
    (0, b"%!PS", "a PostScript file"),
    (4, b"ftyphei", "a HEIC picture"),
    (4, b"ftypmif1", "a HEIF picture"),
    (4, b"ftypavif", "an AVIF picture"),
    (4, b"jP  ", "a JPEG 2000 picture"),
    (0, b"\xff\x4f\xff\x51", "a JPEG 2000 picture"),
    (4, b"JXL ", "a JPEG XL picture"),
    (0, b"\xff\x0a", "a JPEG XL picture"),
    (0, b"\x76\x2f\x31\x01", "an OpenEXR picture"),
    (0, b"\x1f\x8b", "a compressed file"),
];

/// Tells the format from the first [`LONGEST_MARK`] bytes of a file.
pub(crate) fn recognise(start: &[u8]) -> Result<FileFormat, IntakeError> {
    if start.starts_with(b"RIFF") && start.get(8..12) == Some(b"WEBP") {
        return Ok(FileFormat::WebP);
    }
    if is_svg(start) {
        return Ok(FileFormat::Svg);
    }
    let read_here = READ_HERE.iter().find(|(_, mark)| start.starts_with(mark));
    if let Some((format, _)) = read_here {
        return Ok(*format);
    }
    // A file cut inside its mark can't be told from another kind of file.
    let known = KNOWN_ONLY
        .iter()
        .find(|(place, mark, _)| start.get(*place..).is_some_and(|at| at.starts_with(mark)));
    Err(match known {
        Some((_, _, name)) => {
            IntakeError::unsupported(*name, "export it as TIFF, PNG or JPEG in RGB")
        }
        None => IntakeError::NotAnImage { start: in_hexadecimal(&start[..start.len().min(8)]) },
    })
}

/// Text that begins with a mark-up sign and opens an `svg` element soon.
fn is_svg(start: &[u8]) -> bool {
    let text = start.strip_prefix(b"\xef\xbb\xbf").unwrap_or(start).trim_ascii_start();
    let opens = || text.windows(4).any(|part| part == b"<svg");
    text.starts_with(b"<") && opens()
}

fn in_hexadecimal(bytes: &[u8]) -> String {
    let pairs: Vec<_> = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
    pairs.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_format_is_recognised_by_its_mark() {
        for (format, mark) in READ_HERE {
            assert_eq!(recognise(mark).unwrap(), format);
        }
    }

    #[test]
    fn no_mark_is_longer_than_what_is_read() {
        let longest = KNOWN_ONLY.iter().map(|(place, mark, _)| place + mark.len());
        assert!(longest.max().unwrap() as u64 <= LONGEST_MARK);
    }

    #[test]
    fn a_known_format_that_is_not_read_is_named() {
        let message = recognise(b"8BPS\0\x01").unwrap_err().to_string();
        assert_eq!(
            message,
            "a layered document is not read; export it as TIFF, PNG or JPEG in RGB"
        );
    }

    #[test]
    fn text_is_a_drawing_only_with_an_svg_element() {
        let drawing = b"\xef\xbb\xbf<?xml version=\"1.0\"?>\n<!-- a shell -->\n<svg/>";
        assert_eq!(recognise(drawing).unwrap(), FileFormat::Svg);
        assert!(recognise(b"<?xml version=\"1.0\"?><html/>").is_err());
    }

    #[test]
    fn other_bytes_are_shown() {
        let message = recognise(b"<html>").unwrap_err().to_string();
        assert!(message.contains("3c 68 74 6d 6c 3e"), "{message}");
    }
}
