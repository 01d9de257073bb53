use std::fs;
use std::path::Path;

use jpeg_encoder::SamplingFactor;

use crate::bench_error::BenchError;
use crate::mosaic::Mosaic;
use crate::photographs::photographs;

/// A JPEG picture of which every number gives a file of its own with the same pixels, so that
/// nothing is recalled from an earlier one.
pub(crate) struct NumberedPictures {
    bytes: Vec<u8>,
}

/// The marker that begins every JPEG file (ITU-T T.81, table B.1).
const START: usize = 2;

impl NumberedPictures {
    pub(crate) fn make(mosaic: Mosaic, folder: &Path) -> Result<Self, BenchError> {
        let path = folder.join("numbered.jpg");
        mosaic.save(&photographs()?, SamplingFactor::F_2_2, &path)?;
        let bytes = fs::read(&path).map_err(BenchError::file(&path))?;
        Ok(Self { bytes })
    }

    /// The file of a number: the number stands in a comment (ITU-T T.81, B.2.4.5).
    pub(crate) fn numbered(&self, number: u32) -> Vec<u8> {
        let [one, two, three, four] = number.to_be_bytes();
        let comment = [0xff, 0xfe, 0, 6, one, two, three, four];
        [&self.bytes[..START], &comment, &self.bytes[START..]].concat()
    }
}
