use colour::{Alpha, BitDepth, ColourModel, RasterFormat};

use crate::{FileFormat, IntakeError};

/// Bytes in which a header with its comments must end; our choice.
pub(super) const LONGEST: u64 = 4096;

/// What the first lines of a file state.
#[derive(Clone, Copy, Debug)]
pub(super) struct Header {
    pub(super) format: RasterFormat,
    pub(super) coding: Coding,
    /// The sample that means full scale, 1 to 65,535.
    pub(super) full: u32,
    /// Bytes of the header.
    pub(super) bytes: usize,
}

/// How samples are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Coding {
    /// Decimal numbers.
    Digits,
    /// Single digits 0 and 1 of which 1 is black.
    BlackDigits,
    /// Bits of which 1 is black, rows start at bytes.
    BlackBits,
    /// One or two bytes, the higher first.
    Binary,
}

impl Header {
    pub(super) fn read(file: &[u8]) -> Result<Self, IntakeError> {
        let kind = file.get(1).copied().unwrap_or_default();
        if kind == b'7' {
            return arbitrary(file);
        }
        let mut words = Words { file, at: 2 };
        let (width, height) = (words.number()?, words.number()?);
        let (model, coding) = match kind {
            b'1' => (ColourModel::Gray, Coding::BlackDigits),
            b'2' => (ColourModel::Gray, Coding::Digits),
            b'3' => (ColourModel::Rgb, Coding::Digits),
            b'4' => (ColourModel::Gray, Coding::BlackBits),
            b'5' => (ColourModel::Gray, Coding::Binary),
            _ => (ColourModel::Rgb, Coding::Binary),
        };
        let bits = matches!(coding, Coding::BlackBits | Coding::BlackDigits);
        let full = if bits { 1 } else { words.number()? };
        // One white-space character ends the header.
        Self::of(width, height, full, (model, Alpha::None), coding, words.at + 1)
    }

    fn of(
        width: u32,
        height: u32,
        full: u32,
        (model, alpha): (ColourModel, Alpha),
        coding: Coding,
        bytes: usize,
    ) -> Result<Self, IntakeError> {
        let depth = match full {
            1..=255 => BitDepth::Eight,
            256..=65_535 => BitDepth::Sixteen,
            other => {
                return Err(corrupt(format!("it states {other} as full scale, not 1 to 65535")));
            }
        };
        let format = RasterFormat { width, height, model, depth, alpha };
        Ok(Self { format, coding, full, bytes })
    }

    /// Bytes of a row as stored; of digits the fewest.
    pub(super) fn stored_row_bytes(&self) -> u64 {
        let samples = self.format.samples_per_row() as u64;
        match (self.coding, self.format.depth) {
            (Coding::BlackBits, _) => samples.div_ceil(8),
            (Coding::Digits, _) => samples * 2,
            (Coding::BlackDigits, _) | (Coding::Binary, BitDepth::Eight) => samples,
            (Coding::Binary, BitDepth::Sixteen) => samples * 2,
        }
    }

    /// The fewest bytes of the whole file; the last of the digits needs nothing behind it.
    pub(super) fn least_bytes(&self) -> u64 {
        let rows = self.stored_row_bytes().saturating_mul(self.format.height.into());
        let last = u64::from(self.coding == Coding::Digits);
        (self.bytes as u64).saturating_add(rows).saturating_sub(last)
    }
}

/// The form with named fields.
fn arbitrary(file: &[u8]) -> Result<Header, IntakeError> {
    let mark = b"ENDHDR\n";
    let end = file.windows(mark.len()).position(|part| part == mark);
    let end = end.ok_or_else(|| corrupt("its header has no end"))?;
    let text = String::from_utf8_lossy(&file[..end]).into_owned();
    let field = |name: &str| {
        let line = text.lines().find_map(|line| line.strip_prefix(name)?.strip_prefix(' '));
        line.map(str::trim).ok_or_else(|| corrupt(format!("its header lacks {name}")))
    };
    let number = |name: &str| {
        field(name)?.parse::<u32>().map_err(|_| corrupt(format!("{name} is no number")))
    };
    let kind = field("TUPLTYPE")?;
    let (model, alpha) = match kind {
        "BLACKANDWHITE" | "GRAYSCALE" => (ColourModel::Gray, Alpha::None),
        "BLACKANDWHITE_ALPHA" | "GRAYSCALE_ALPHA" => (ColourModel::Gray, Alpha::Straight),
        "RGB" => (ColourModel::Rgb, Alpha::None),
        "RGB_ALPHA" => (ColourModel::Rgb, Alpha::Straight),
        "CMYK" => (ColourModel::Cmyk, Alpha::None),
        other => {
            let what = format!("a PAM file of `{}`", other.escape_debug());
            return Err(IntakeError::unsupported(what, "save it as PNG or TIFF"));
        }
    };
    let (width, height, full) = (number("WIDTH")?, number("HEIGHT")?, number("MAXVAL")?);
    let header = Header::of(width, height, full, (model, alpha), Coding::Binary, end + mark.len())?;
    if number("DEPTH")? as usize != header.format.samples_per_pixel() {
        return Err(corrupt(format!("its depth is not that of {kind}")));
    }
    Ok(header)
}

/// Words of a header, between white space and comments.
struct Words<'file> {
    file: &'file [u8],
    at: usize,
}

impl Words<'_> {
    fn number(&mut self) -> Result<u32, IntakeError> {
        while let Some(byte) = self.file.get(self.at) {
            match byte {
                b'#' => self.skip_line(),
                byte if byte.is_ascii_whitespace() => self.at += 1,
                _ => break,
            }
        }
        let start = self.at;
        while self.file.get(self.at).is_some_and(u8::is_ascii_digit) {
            self.at += 1;
        }
        if self.at == self.file.len() {
            return Err(IntakeError::cut_in_header(FileFormat::Pnm));
        }
        let digits = str::from_utf8(&self.file[start..self.at]).unwrap_or_default();
        digits.parse().map_err(|_| corrupt(format!("`{digits}` stands where a number is due")))
    }

    fn skip_line(&mut self) {
        while self.file.get(self.at).is_some_and(|byte| *byte != b'\n') {
            self.at += 1;
        }
    }
}

pub(super) fn corrupt(detail: impl Into<String>) -> IntakeError {
    IntakeError::corrupt(FileFormat::Pnm, detail)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_and_white_space_are_skipped() {
        let header = Header::read(b"P6 # made by hand\n3\n# rows\n 2 255\nxxx").unwrap();
        assert_eq!((header.format.width, header.format.height, header.full), (3, 2, 255));
        assert_eq!(header.bytes, 34);
        assert_eq!(header.least_bytes(), 34 + 18);
    }

    #[test]
    fn named_fields_may_come_in_any_order() {
        let file = b"P7\nDEPTH 4\nMAXVAL 65535\nWIDTH 5\nHEIGHT 1\nTUPLTYPE RGB_ALPHA\nENDHDR\n";
        let header = Header::read(file).unwrap();
        assert_eq!(header.format.samples_per_row(), 20);
        assert_eq!(header.stored_row_bytes(), 40);
    }

    #[test]
    fn a_scale_beyond_16_bits_is_refused() {
        assert!(Header::read(b"P5 1 1 65536\n\0\0\0").is_err());
        assert!(Header::read(b"P5 1 1 0\n\0").is_err());
    }
}
