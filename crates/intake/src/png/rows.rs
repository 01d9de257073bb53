use std::io::BufReader;
use std::mem;

use colour::{Band, BitDepth, RasterFormat, RowSource, Samples};
use png::{DecodingError, Reader};

use crate::bands::{row_bytes, rows_per_band};
use crate::bytes::Original;
use crate::{FileFormat, IntakeError};

use super::header::{explain, start};

/// Rows of a PNG picture.
pub(super) struct PngRows {
    format: RasterFormat,
    interlaced: bool,
    state: State,
    next_row: u32,
}

enum State {
    Waiting(Original),
    /// Row after row from the decoder.
    Rows(Box<Reader<BufReader<Original>>>),
    /// All rows, as an interlaced picture stores them in seven passes.
    Whole(Vec<u8>),
    /// What stopped the decoder in the middle of the last band.
    Faulty(IntakeError),
    Done,
}

impl PngRows {
    pub(super) const fn new(format: RasterFormat, interlaced: bool, original: Original) -> Self {
        Self { format, interlaced, state: State::Waiting(original), next_row: 0 }
    }

    fn begin(&self, mut original: Original) -> Result<State, IntakeError> {
        original.at_start().map_err(|fault| IntakeError::reading("reading the PNG file", fault))?;
        let in_rows = |fault| explain(fault, 0, Some(self.format.height));
        let mut reader = Box::new(start(original).map_err(in_rows)?);
        if self.interlaced {
            let mut whole = vec![0; row_bytes(&self.format) * self.format.height as usize];
            reader.next_frame(&mut whole).map_err(in_rows)?;
            reader.finish().map_err(in_rows)?;
            Ok(State::Whole(whole))
        } else {
            Ok(State::Rows(reader))
        }
    }

    /// The band's bytes, 16-bit samples with their high byte first.
    fn read(&mut self, rows: u32) -> Result<Vec<u8>, IntakeError> {
        let length = rows as usize * row_bytes(&self.format);
        match &mut self.state {
            State::Rows(reader) => {
                let mut bytes = vec![0; length];
                for (index, row) in bytes.chunks_exact_mut(row_bytes(&self.format)).enumerate() {
                    let read = read_row(reader, row, self.next_row, self.format.height);
                    if let Err(fault) = read {
                        if index == 0 {
                            return Err(fault);
                        }
                        // The rows before it are right, and are delivered first.
                        bytes.truncate(index * row_bytes(&self.format));
                        self.state = State::Faulty(fault);
                        return Ok(bytes);
                    }
                    self.next_row += 1;
                }
                Ok(bytes)
            }
            State::Whole(whole) => {
                let from = self.next_row as usize * row_bytes(&self.format);
                self.next_row += rows;
                Ok(whole[from..from + length].to_vec())
            }
            State::Waiting(_) | State::Faulty(_) | State::Done => Ok(Vec::new()),
        }
    }

    /// Reads on to the end mark, so that a file without it is not taken for a whole one.
    fn end(&mut self) -> Result<(), IntakeError> {
        match mem::replace(&mut self.state, State::Done) {
            State::Rows(mut reader) => reader
                .finish()
                .map_err(|fault| explain(fault, self.next_row, Some(self.format.height))),
            _ => Ok(()),
        }
    }

    fn step(&mut self) -> Result<Option<Band>, IntakeError> {
        self.state = match mem::replace(&mut self.state, State::Done) {
            State::Waiting(original) => self.begin(original)?,
            State::Faulty(fault) => return Err(fault),
            begun => begun,
        };
        let left = self.format.height - self.next_row;
        if left == 0 {
            self.end()?;
            return Ok(None);
        }
        let (first_row, rows) = (self.next_row, rows_per_band(&self.format).min(left));
        let bytes = self.read(rows)?;
        let rows = self.next_row - first_row;
        Ok(Some(Band { first_row, rows, samples: samples(bytes, self.format.depth) }))
    }
}

impl RowSource for PngRows {
    type Error = IntakeError;

    fn format(&self) -> RasterFormat {
        self.format
    }

    fn next_band(&mut self) -> Result<Option<Band>, IntakeError> {
        if matches!(self.state, State::Done) {
            return Ok(None);
        }
        self.step().inspect_err(|_| self.state = State::Done)
    }
}

fn read_row(
    reader: &mut Reader<BufReader<Original>>,
    row: &mut [u8],
    index: u32,
    height: u32,
) -> Result<(), IntakeError> {
    let read: Result<_, DecodingError> = reader.read_row(row);
    match read.map_err(|fault| explain(fault, index, Some(height)))? {
        Some(_) => Ok(()),
        None => {
            let detail = format!("it stores {index} of {height} rows");
            Err(IntakeError::corrupt(FileFormat::Png, detail))
        }
    }
}

fn samples(bytes: Vec<u8>, depth: BitDepth) -> Samples {
    match depth {
        BitDepth::Eight => Samples::Eight(bytes),
        BitDepth::Sixteen => {
            let (words, _) = bytes.as_chunks();
            Samples::Sixteen(words.iter().map(|word| u16::from_be_bytes(*word)).collect())
        }
    }
}
