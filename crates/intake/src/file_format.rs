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
}

impl fmt::Display for FileFormat {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::Jpeg => "JPEG",
            Self::Png => "PNG",
            Self::Tiff => "TIFF",
        })
    }
}

/// Bytes that [`recognise`] wants to see.
pub(crate) const LONGEST_MARK: u64 = 16;

const READ_HERE: [(FileFormat, &[u8]); 6] = [
    (FileFormat::Jpeg, b"\xff\xd8\xff"),
    (FileFormat::Png, b"\x89PNG\r\n\x1a\n"),
    (FileFormat::Tiff, b"II*\0"),
    (FileFormat::Tiff, b"MM\0*"),
    (FileFormat::Tiff, b"II+\0"),
    (FileFormat::Tiff, b"MM\0+"),
];

/// Marks of formats that are known and not read: place of the mark, mark, name.
const KNOWN_ONLY: [(usize, &[u8], &str); 14] = [
    (0, b"8BPS", "a layered document"),
    (0, b"%PDF", "a PDF document"),
    (0, b"%!PS", "a PostScript file"),
    (0, b"GIF8", "a GIF picture"),
    (0, b"BM", "a BMP picture"),
    (8, b"WEBP", "a WebP picture"),
    (4, b"ftyphei", "a HEIC picture"),
    (4, b"ftypmif1", "a HEIF picture"),
    (4, b"ftypavif", "an AVIF picture"),
    (4, b"jP  ", "a JPEG 2000 picture"),
    (0, b"\xff\x4f\xff\x51", "a JPEG 2000 picture"),
    (4, b"JXL ", "a JPEG XL picture"),
    (0, b"\xff\x0a", "a JPEG XL picture"),
    (0, b"\x76\x2f\x31\x01", "an OpenEXR picture"),
];

/// Tells the format from the first [`LONGEST_MARK`] bytes of a file.
pub(crate) fn recognise(start: &[u8]) -> Result<FileFormat, IntakeError> {
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
        let message = recognise(b"RIFF\x10\0\0\0WEBPVP8 ").unwrap_err().to_string();
        assert_eq!(message, "a WebP picture is not read; export it as TIFF, PNG or JPEG in RGB");
    }

    #[test]
    fn other_bytes_are_shown() {
        let message = recognise(b"<html>").unwrap_err().to_string();
        assert!(message.contains("3c 68 74 6d 6c 3e"), "{message}");
    }
}
