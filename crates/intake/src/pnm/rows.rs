use std::io::{self, BufRead, Read};

use colour::{Band, BitDepth, RasterFormat, RowSource, Samples};

use crate::bands::rows_per_band;
use crate::{FileFormat, IntakeError};

use super::PnmBytes;
use super::header::{Coding, Header, corrupt};

/// Rows of a portable anymap.
pub(super) struct PnmRows {
    header: Header,
    bytes: PnmBytes,
    next_row: u32,
    fault: Option<IntakeError>,
    ended: bool,
}

impl PnmRows {
    pub(super) const fn new(header: Header, bytes: PnmBytes) -> Self {
        Self { header, bytes, next_row: 0, fault: None, ended: false }
    }

    fn step(&mut self) -> Result<Option<Band>, IntakeError> {
        if let Some(fault) = self.fault.take() {
            return Err(fault);
        }
        let format = self.header.format;
        let first_row = self.next_row;
        let rows = rows_per_band(&format).min(format.height - first_row);
        let mut samples = Vec::with_capacity(rows as usize * format.samples_per_row());
        for _ in 0..rows {
            match self.read_row(&mut samples) {
                Ok(()) => self.next_row += 1,
                Err(fault) if self.next_row == first_row => return Err(fault),
                Err(fault) => {
                    // The rows before it are right, and are delivered first.
                    self.fault = Some(fault);
                    break;
                }
            }
        }
        let rows = self.next_row - first_row;
        samples.truncate(rows as usize * format.samples_per_row());
        let band = Band { first_row, rows, samples: self.delivered(samples) };
        Ok((rows > 0).then_some(band))
    }

    /// Appends the samples of a row on the scale of the file.
    fn read_row(&mut self, samples: &mut Vec<u16>) -> Result<(), IntakeError> {
        let count = self.header.format.samples_per_row();
        let read = match self.header.coding {
            Coding::Digits => self.read_digits(count, samples),
            Coding::BlackDigits => self.read_black_digits(count, samples),
            Coding::BlackBits => self.read_black_bits(count, samples),
            Coding::Binary => self.read_binary(count, samples),
        };
        let height = self.header.format.height;
        read.map_err(|fault| match fault.kind() {
            io::ErrorKind::UnexpectedEof => {
                IntakeError::cut_after(FileFormat::Pnm, self.next_row, height)
            }
            io::ErrorKind::InvalidData => {
                corrupt(format!("{fault} (after {} rows)", self.next_row))
            }
            _ => IntakeError::reading("reading the PNM file", fault),
        })?;
        let full = self.header.full;
        match samples.iter().rev().take(count).find(|sample| u32::from(**sample) > full) {
            Some(sample) => {
                Err(corrupt(format!("a sample is {sample}, above its full scale {full}")))
            }
            None => Ok(()),
        }
    }

    fn read_binary(&mut self, count: usize, samples: &mut Vec<u16>) -> io::Result<()> {
        if self.header.format.depth == BitDepth::Eight {
            let mut row = vec![0; count];
            self.bytes.read_exact(&mut row)?;
            samples.extend(row.into_iter().map(u16::from));
        } else {
            let mut row = vec![0; 2 * count];
            self.bytes.read_exact(&mut row)?;
            samples.extend(row.as_chunks().0.iter().map(|word| u16::from_be_bytes(*word)));
        }
        Ok(())
    }

    fn read_black_bits(&mut self, count: usize, samples: &mut Vec<u16>) -> io::Result<()> {
        let mut row = vec![0_u8; count.div_ceil(8)];
        self.bytes.read_exact(&mut row)?;
        let bit = |index: usize| row[index / 8] >> (7 - index % 8) & 1;
        samples.extend((0..count).map(|index| u16::from(1 - bit(index))));
        Ok(())
    }

    /// White space between the digits is optional.
    fn read_black_digits(&mut self, count: usize, samples: &mut Vec<u16>) -> io::Result<()> {
        for _ in 0..count {
            match self.next_mark()? {
                b'0' => samples.push(1),
                b'1' => samples.push(0),
                other => return Err(no_digit(other)),
            }
        }
        Ok(())
    }

    fn read_digits(&mut self, count: usize, samples: &mut Vec<u16>) -> io::Result<()> {
        for _ in 0..count {
            let mut number = digit(self.next_mark()?)?;
            while let Some(next) = self.bytes.fill_buf()?.first().copied() {
                if !next.is_ascii_digit() {
                    break;
                }
                self.bytes.consume(1);
                number = (number * 10 + digit(next)?).min(1 << 20);
            }
            samples.push(u16::try_from(number).unwrap_or(u16::MAX));
        }
        Ok(())
    }

    /// The next byte that is no white space.
    fn next_mark(&mut self) -> io::Result<u8> {
        loop {
            let mut byte = [0];
            self.bytes.read_exact(&mut byte)?;
            if !byte[0].is_ascii_whitespace() {
                return Ok(byte[0]);
            }
        }
    }

    /// Samples on the scale of 8 or 16 bits, rounded.
    fn delivered(&self, samples: Vec<u16>) -> Samples {
        let full = self.header.full;
        match self.header.format.depth {
            BitDepth::Eight => {
                let level = |sample: u16| (u32::from(sample) * 255 + full / 2) / full;
                let levels = samples.into_iter().map(|sample| u8::try_from(level(sample)));
                Samples::Eight(levels.map(|level| level.unwrap_or(u8::MAX)).collect())
            }
            BitDepth::Sixteen => {
                let level = |sample: u16| (u32::from(sample) * 65_535 + full / 2) / full;
                let levels = samples.into_iter().map(|sample| u16::try_from(level(sample)));
                Samples::Sixteen(levels.map(|level| level.unwrap_or(u16::MAX)).collect())
            }
        }
    }
}

impl RowSource for PnmRows {
    type Error = IntakeError;

    fn format(&self) -> RasterFormat {
        self.header.format
    }

    fn next_band(&mut self) -> Result<Option<Band>, IntakeError> {
        if self.ended {
            return Ok(None);
        }
        self.step().inspect_err(|_| self.ended = true)
    }
}

fn digit(byte: u8) -> io::Result<u32> {
    char::from(byte).to_digit(10).ok_or_else(|| no_digit(byte))
}

fn no_digit(byte: u8) -> io::Error {
    let detail = format!("`{}` stands where a digit is due", byte.escape_ascii());
    io::Error::new(io::ErrorKind::InvalidData, detail)
}
