use colour::{BitDepth, RasterFormat};

/// Bytes that a band aims at; our choice, because a band then stays in a second-level cache
/// between the decoder and its reader, and handing one over costs nothing beside decoding it.
const AIM: usize = 1 << 20;

/// Most rows of a band; our choice, so that narrow pictures don't arrive as one band.
const MOST_ROWS: usize = 256;

/// Rows in each band of a picture that is read row by row, at least one.
pub(crate) fn rows_per_band(format: &RasterFormat) -> u32 {
    let rows = (AIM / row_bytes(format)).clamp(1, MOST_ROWS);
    u32::try_from(rows).unwrap_or(u32::MAX)
}

/// Bytes of a row as delivered.
pub(crate) const fn row_bytes(format: &RasterFormat) -> usize {
    format.samples_per_row() * bytes_per_sample(format.depth)
}

const fn bytes_per_sample(depth: BitDepth) -> usize {
    match depth {
        BitDepth::Eight => 1,
        BitDepth::Sixteen => 2,
    }
}

#[cfg(test)]
mod tests {
    use colour::{Alpha, ColourModel};

    use super::*;

    fn rgb(width: u32) -> RasterFormat {
        RasterFormat {
            width,
            height: 1,
            model: ColourModel::Rgb,
            depth: BitDepth::Eight,
            alpha: Alpha::None,
        }
    }

    #[test]
    fn bands_have_between_one_row_and_the_most() {
        assert_eq!(rows_per_band(&rgb(1)), 256);
        assert_eq!(rows_per_band(&rgb(6000)), 58);
        assert_eq!(rows_per_band(&rgb(1 << 20)), 1);
    }
}
