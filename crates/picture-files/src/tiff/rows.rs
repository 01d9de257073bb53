use std::io::{Seek, SeekFrom, Write};

use flate2::Compression;
use flate2::write::ZlibEncoder;

use crate::row::RowCheck;
use crate::tiff::directory::{Directory, Reach, tag};
use crate::{PictureFileError, Row};

/// Bytes of a strip before compression, as far as rows allow. Our choice: enough for deflate to
/// work well, little enough for readers that take a strip at a time.
const STRIP_BYTES: usize = 256 << 10;

/// Deflate never makes more than this of a strip: five bytes for each stored block of at most
/// 64 KiB and a frame of six, rounded up generously.
const MOST_GROWTH: f64 = 1.01;

/// A started TIFF file that takes its rows from top to bottom.
///
/// One strip is held in memory, and the place and the size of each written one.
pub struct TiffRows<W> {
    to: W,
    check: RowCheck,
    directory: Directory,
    reach: Reach,
    rows_per_strip: u32,
    strip: Vec<u8>,
    rows_in_strip: u32,
    /// Where the next strip goes.
    end: u64,
    offsets: Vec<u64>,
    sizes: Vec<u64>,
}

impl<W: Write + Seek> TiffRows<W> {
    pub(crate) fn start(
        to: W,
        check: RowCheck,
        row_bytes: usize,
        directory: Directory,
    ) -> Result<Self, PictureFileError> {
        let reach = reach(row_bytes, check.rows, directory.value_bytes());
        Self::with_reach(to, check, row_bytes, directory, reach)
    }

    fn with_reach(
        mut to: W,
        check: RowCheck,
        row_bytes: usize,
        directory: Directory,
        reach: Reach,
    ) -> Result<Self, PictureFileError> {
        let head = reach.head(0);
        to.write_all(&head)?;
        let rows_per_strip = u32::try_from(STRIP_BYTES / row_bytes.max(1)).unwrap_or(u32::MAX);
        Ok(Self {
            to,
            check,
            directory,
            reach,
            rows_per_strip: rows_per_strip.clamp(1, check.rows),
            strip: Vec::new(),
            rows_in_strip: 0,
            end: head.len() as u64,
            offsets: Vec::new(),
            sizes: Vec::new(),
        })
    }

    /// Writes the next row.
    ///
    /// # Errors
    ///
    /// `RowCount`, `RowDepth` or `RowLength` when the row is not as promised, `Write` when the
    /// bytes can't be written.
    pub fn write_row(&mut self, row: Row<'_>) -> Result<(), PictureFileError> {
        self.check.next(&row)?;
        row.append_to(&mut self.strip, u16::to_le_bytes);
        self.rows_in_strip += 1;
        if self.rows_in_strip == self.rows_per_strip {
            self.write_strip()?;
        }
        Ok(())
    }

    /// Writes the directory, which ends the file, and gives back where it went.
    ///
    /// # Errors
    ///
    /// `RowCount` when rows are missing, `Write` when the bytes can't be written.
    pub fn finish(mut self) -> Result<W, PictureFileError> {
        self.check.end()?;
        if self.rows_in_strip > 0 {
            self.write_strip()?;
        }
        self.directory.longs(tag::ROWS_PER_STRIP, &[self.rows_per_strip]);
        self.directory.places(tag::STRIP_OFFSETS, &self.offsets, self.reach);
        self.directory.places(tag::STRIP_BYTE_COUNTS, &self.sizes, self.reach);
        self.to.write_all(&self.directory.written_at(self.end, self.reach))?;
        self.to.seek(SeekFrom::Start(0))?;
        self.to.write_all(&self.reach.head(self.end))?;
        self.to.flush()?;
        Ok(self.to)
    }

    fn write_strip(&mut self) -> Result<(), PictureFileError> {
        // Separations are large and mostly read once: speed before size. Our choice.
        let mut encoder = ZlibEncoder::new(Vec::new(), Compression::fast());
        encoder.write_all(&self.strip)?;
        let mut bytes = encoder.finish()?;
        self.offsets.push(self.end);
        self.sizes.push(bytes.len() as u64);
        // Places in the file are even.
        bytes.resize(bytes.len().next_multiple_of(2), 0);
        self.to.write_all(&bytes)?;
        self.end += bytes.len() as u64;
        self.strip.clear();
        self.rows_in_strip = 0;
        Ok(())
    }
}

/// Whether 32-bit places reach, should nothing compress.
fn reach(row_bytes: usize, rows: u32, values: u64) -> Reach {
    #[expect(clippy::cast_precision_loss, reason = "a bound, rounded up generously")]
    let bytes = (row_bytes as f64 * MOST_GROWTH + 64.0) * f64::from(rows) + values as f64;
    if bytes < 0.9 * f64::from(u32::MAX) { Reach::Narrow } else { Reach::Wide }
}

#[cfg(test)]
mod tests {
    use super::*;
    use colour::BitDepth;
    use std::io::Cursor;
    use tiff::decoder::{Decoder, DecodingResult};

    #[test]
    fn places_are_wide_where_four_gigabytes_might_not_reach() {
        assert_eq!(reach(1000, 3_000_000, 0), Reach::Narrow);
        assert_eq!(reach(1000, 4_200_000, 0), Reach::Wide);
    }

    #[test]
    fn the_wide_form_is_read_by_an_independent_decoder() {
        let check = RowCheck { samples: 700, depth: BitDepth::Eight, rows: 900, written: 0 };
        let mut directory = Directory::default();
        directory.longs(tag::WIDTH, &[700]);
        directory.longs(tag::HEIGHT, &[900]);
        directory.shorts(tag::BITS_PER_SAMPLE, &[8]);
        directory.shorts(tag::COMPRESSION, &[tag::DEFLATE]);
        directory.shorts(tag::PHOTOMETRIC, &[1]);
        directory.shorts(tag::SAMPLES_PER_PIXEL, &[1]);
        let samples: Vec<u8> = (0..=u8::MAX).cycle().take(700 * 900).collect();
        let file = Cursor::new(Vec::new());
        let mut rows = TiffRows::with_reach(file, check, 700, directory, Reach::Wide).unwrap();
        samples.chunks(700).for_each(|row| rows.write_row(Row::Eight(row)).unwrap());
        let mut decoder = Decoder::new(Cursor::new(rows.finish().unwrap().into_inner())).unwrap();
        let DecodingResult::U8(read) = decoder.read_image().unwrap() else {
            panic!("no bytes where bytes were written");
        };
        assert_eq!(read, samples);
    }
}
