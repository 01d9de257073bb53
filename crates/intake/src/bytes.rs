use std::io::{self, BufReader, Read, Seek, SeekFrom};

use crate::{ContentHash, IntakeError};

/// The bytes of one image file, opened by the caller: an open file or bytes in memory.
///
/// Every value that can be read, sought in and sent to another thread is one.
pub trait Bytes: Read + Seek + Send {}

impl<T: Read + Seek + Send + ?Sized> Bytes for T {}

/// Bytes taken from the caller's value at a time; our choice, because larger reads were not
/// measurably faster and many files may be open at once.
pub(crate) const READ_AHEAD: usize = 64 * 1024;

/// The whole file as it was handed in, with its length.
pub(crate) struct Original {
    bytes: Box<dyn Bytes>,
    length: u64,
}

impl Original {
    pub(crate) fn new(mut bytes: impl Bytes + 'static) -> Result<Self, IntakeError> {
        let length = bytes
            .seek(SeekFrom::End(0))
            .map_err(|fault| IntakeError::reading("finding the file's length", fault))?;
        if length == 0 {
            return Err(IntakeError::Empty);
        }
        Ok(Self { bytes: Box::new(bytes), length })
    }

    pub(crate) const fn length(&self) -> u64 {
        self.length
    }

    /// Up to `most` bytes from the start of the file.
    pub(crate) fn first_bytes(&mut self, most: u64) -> Result<Vec<u8>, IntakeError> {
        let mut start = Vec::new();
        self.at_start()
            .and_then(|bytes| bytes.take(most).read_to_end(&mut start))
            .map_err(|fault| IntakeError::reading("reading the file's start", fault))?;
        Ok(start)
    }

    /// Reads every byte once.
    pub(crate) fn content_hash(&mut self) -> Result<ContentHash, IntakeError> {
        self.at_start()
            .and_then(ContentHash::of)
            .map_err(|fault| IntakeError::reading("reading the whole file", fault))
    }

    pub(crate) fn at_start(&mut self) -> io::Result<&mut Self> {
        self.seek(SeekFrom::Start(0))?;
        Ok(self)
    }

    /// The file from its first byte, read in steps of [`READ_AHEAD`].
    pub(crate) fn buffered(mut self) -> io::Result<BufReader<Self>> {
        self.at_start()?;
        Ok(BufReader::with_capacity(READ_AHEAD, self))
    }
}

impl Read for Original {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        loop {
            match self.bytes.read(buffer) {
                // Not every decoder tries again.
                Err(fault) if fault.kind() == io::ErrorKind::Interrupted => {}
                outcome => return outcome,
            }
        }
    }
}

impl Seek for Original {
    fn seek(&mut self, position: SeekFrom) -> io::Result<u64> {
        self.bytes.seek(position)
    }
}
