use std::io;

use hayro_ccitt::{DecodeSettings, Decoder, DecoderContext, EncodingMode, decode};

use super::codec::Codec;

/// How a fax chunk is coded, beside its codec.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct FaxForm {
    /// Rows may refer to the row above (T4Options, bit 0).
    pub(super) two_dimensional: bool,
}

/// Unpacks a fax chunk: a bit for each pixel, 1 is black, rows start at bytes.
///
/// # Errors
///
/// `InvalidData` for codes that mean nothing; `UnexpectedEof` if rows are missing.
pub(super) fn unpack_fax(
    packed: &[u8],
    codec: Codec,
    form: FaxForm,
    width: u32,
    rows: u32,
) -> io::Result<Vec<u8>> {
    let settings = DecodeSettings {
        columns: width,
        rows,
        end_of_block: false,
        end_of_line: false,
        rows_are_byte_aligned: codec == Codec::FaxRuns,
        encoding: match codec {
            Codec::FaxGroup4 => EncodingMode::Group4,
            Codec::FaxGroup3 if form.two_dimensional => EncodingMode::Group3_2D,
            _ => EncodingMode::Group3_1D,
        },
        strict: true,
    };
    let mut bits = Bits { width, rows: rows as usize, bytes: Vec::new(), pushed: 0 };
    let outcome = decode(packed, &mut bits, &mut DecoderContext::new(settings));
    if bits.pushed >= rows as usize {
        return Ok(bits.bytes);
    }
    Err(match outcome {
        Ok(_) => io::ErrorKind::UnexpectedEof.into(),
        Err(fault) => io::Error::new(
            io::ErrorKind::InvalidData,
            format!("{fault:?} in row {} of {rows}", bits.pushed),
        ),
    })
}

/// Rows of bits.
struct Bits {
    width: u32,
    rows: usize,
    bytes: Vec<u8>,
    pushed: usize,
}

impl Decoder for Bits {
    fn push_row(&mut self, changes: &[u32]) {
        if self.pushed == self.rows {
            return;
        }
        self.pushed += 1;
        let start = self.bytes.len();
        self.bytes.resize(start + self.width.div_ceil(8) as usize, 0);
        let row = &mut self.bytes[start..];
        for run in changes.chunks(2) {
            let end = run.get(1).copied().unwrap_or(self.width);
            blacken(row, run[0] as usize, end.min(self.width) as usize);
        }
    }
}

/// Sets the bits from `start` to before `end`, the highest of a byte first.
fn blacken(row: &mut [u8], start: usize, end: usize) {
    if start >= end {
        return;
    }
    let (first, last) = (start / 8, (end - 1) / 8);
    let from_start = 0xff_u8 >> (start % 8);
    let to_end = 0xff_u8 << (7 - (end - 1) % 8);
    if first == last {
        row[first] |= from_start & to_end;
        return;
    }
    row[first] |= from_start;
    row[first + 1..last].fill(0xff);
    row[last] |= to_end;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_become_bits_from_the_highest_on() {
        let mut row = [0; 3];
        blacken(&mut row, 3, 5);
        blacken(&mut row, 7, 18);
        assert_eq!(row, [0b0001_1001, 0xff, 0b1100_0000]);
        blacken(&mut row, 20, 20);
        assert_eq!(row[2], 0b1100_0000);
    }

    #[test]
    fn a_white_page_of_group_4_is_one_bit_a_row() {
        // Eight times V0, and the end-of-block code (ITU-T T.6, 2.2.1 and 2.4.1.1).
        let packed = [0xff, 0x00, 0x10, 0x01];
        let white = unpack_fax(&packed, Codec::FaxGroup4, FaxForm::default(), 24, 8).unwrap();
        assert_eq!(white, [0; 24]);
    }

    #[test]
    fn missing_rows_are_an_early_end() {
        let packed = [0xff];
        let cut = unpack_fax(&packed, Codec::FaxGroup4, FaxForm::default(), 24, 80).unwrap_err();
        assert!(matches!(cut.kind(), io::ErrorKind::UnexpectedEof | io::ErrorKind::InvalidData));
    }
}
