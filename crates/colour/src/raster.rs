use std::fmt;
use std::num::NonZeroUsize;

/// What the samples of a pixel mean.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ColourModel {
    /// One sample, 0 black to full white.
    Gray,
    /// Red, green, blue.
    Rgb,
    /// Cyan, magenta, yellow, black as *device values*: 0 is no ink.
    Cmyk,
    /// CIELAB, each sample a share of its range: L* 0 to 100, a* and b* −128 to 127, so that a
    /// neutral has 128/255 in both (the 8-bit encoding of ICC.1:2022, 6.3.4.2).
    Lab,
}

impl ColourModel {
    /// Number of colour samples of a pixel, without alpha.
    #[must_use]
    pub const fn channels(self) -> usize {
        match self {
            Self::Gray => 1,
            Self::Rgb | Self::Lab => 3,
            Self::Cmyk => 4,
        }
    }
}

impl fmt::Display for ColourModel {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::Gray => "gray",
            Self::Rgb => "RGB",
            Self::Cmyk => "CMYK",
            Self::Lab => "CIELAB",
        })
    }
}

/// Bits of one sample as delivered; a source widens 1, 2 and 4 bits to 8.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BitDepth {
    /// 0 to 255.
    Eight,
    /// 0 to 65,535.
    Sixteen,
}

/// Whether a pixel ends with an opacity sample, and how its colour is stored then.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Alpha {
    /// No opacity: every pixel is opaque.
    None,
    /// The colour is stored as it is.
    Straight,
    /// The colour is stored multiplied by the opacity.
    Associated,
}

/// Size and layout of a picture's rows, before its orientation is applied.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RasterFormat {
    /// Pixels in a row, at least 1.
    pub width: u32,
    /// Rows, at least 1.
    pub height: u32,
    /// What the samples mean.
    pub model: ColourModel,
    /// Bits of a sample.
    pub depth: BitDepth,
    /// Opacity sample.
    pub alpha: Alpha,
}

impl RasterFormat {
    /// Samples of one pixel, alpha included.
    #[must_use]
    pub const fn samples_per_pixel(&self) -> usize {
        self.model.channels() + !matches!(self.alpha, Alpha::None) as usize
    }

    /// Samples of one row.
    #[must_use]
    pub const fn samples_per_row(&self) -> usize {
        self.width as usize * self.samples_per_pixel()
    }

    /// Pixels of the whole picture.
    #[must_use]
    pub const fn pixels(&self) -> u64 {
        self.width as u64 * self.height as u64
    }
}

/// The samples of a band: pixel-interleaved, rows one after the other without padding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Samples {
    /// One byte a sample.
    Eight(Vec<u8>),
    /// One native 16-bit word a sample.
    Sixteen(Vec<u16>),
}

/// Some whole rows of a picture.
///
/// A band knows its place, so that a source may decode bands in parallel and deliver them in
/// any order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Band {
    /// Index of the first row, counted from the top as stored.
    pub first_row: u32,
    /// Number of rows.
    pub rows: u32,
    /// `rows` × `width` × samples per pixel.
    pub samples: Samples,
}

/// What a source could not read and yet went on from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Damage {
    /// Rows that were never delivered.
    pub missing_rows: u32,
    /// What is wrong, in words for a report.
    pub detail: String,
}

/// Delivers a picture as owned bands, each row exactly once.
pub trait RowSource: Send {
    /// Why reading stopped.
    type Error: std::error::Error + Send + 'static;

    /// Size and layout of all bands.
    fn format(&self) -> RasterFormat;

    /// The next band, or `None` after the last.
    ///
    /// # Errors
    ///
    /// Whatever stops the reading; afterwards the source delivers nothing more.
    fn next_band(&mut self) -> Result<Option<Band>, Self::Error>;

    /// Divides the rest of the reading among so many parts for threads of their own, which together
    /// deliver each row once, in any order. Nothing for a source that can't be read so, or has
    /// begun.
    ///
    /// A part that meets a fault ends as if it were complete, and the others end soon. When all
    /// have ended, the source itself must be asked for its next band: it tells the fault that comes
    /// first in the file, which is the one that it would have met alone.
    fn divide(&mut self, _parts: NonZeroUsize) -> Vec<Box<dyn RowSource<Error = Self::Error>>> {
        Vec::new()
    }

    /// Damage met so far that did not stop the reading. Complete after the last band.
    fn damage(&self) -> &[Damage] {
        &[]
    }
}

/// How the stored rows are to be turned for viewing (Exif 2.32, tag 0x0112; TIFF 6.0).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Orientation {
    /// 1: as stored.
    #[default]
    Upright,
    /// 2: mirrored left to right.
    MirroredHorizontally,
    /// 3: half a turn.
    HalfTurn,
    /// 4: mirrored top to bottom.
    MirroredVertically,
    /// 5: mirrored along the diagonal from top left.
    Transposed,
    /// 6: a quarter turn clockwise is needed.
    QuarterTurnClockwise,
    /// 7: mirrored along the diagonal from top right.
    Transversed,
    /// 8: a quarter turn anticlockwise is needed.
    QuarterTurnAnticlockwise,
}

impl Orientation {
    /// Reads the number of the Exif and TIFF tag; anything but 1 to 8 is `None`.
    #[must_use]
    pub const fn from_tag(tag: u16) -> Option<Self> {
        Some(match tag {
            1 => Self::Upright,
            2 => Self::MirroredHorizontally,
            3 => Self::HalfTurn,
            4 => Self::MirroredVertically,
            5 => Self::Transposed,
            6 => Self::QuarterTurnClockwise,
            7 => Self::Transversed,
            8 => Self::QuarterTurnAnticlockwise,
            _ => return None,
        })
    }

    /// The number of the Exif and TIFF tag.
    #[must_use]
    pub const fn tag(self) -> u16 {
        match self {
            Self::Upright => 1,
            Self::MirroredHorizontally => 2,
            Self::HalfTurn => 3,
            Self::MirroredVertically => 4,
            Self::Transposed => 5,
            Self::QuarterTurnClockwise => 6,
            Self::Transversed => 7,
            Self::QuarterTurnAnticlockwise => 8,
        }
    }

    /// Whether width and height change places.
    #[must_use]
    pub const fn swaps_sides(self) -> bool {
        matches!(
            self,
            Self::Transposed
                | Self::QuarterTurnClockwise
                | Self::Transversed
                | Self::QuarterTurnAnticlockwise
        )
    }

    /// Where the stored pixel (`column`, `row`) of a `width` × `height` picture is seen.
    #[must_use]
    pub const fn seen_at(self, column: u32, row: u32, width: u32, height: u32) -> (u32, u32) {
        let (right, below) = (width - 1 - column, height - 1 - row);
        match self {
            Self::Upright => (column, row),
            Self::MirroredHorizontally => (right, row),
            Self::HalfTurn => (right, below),
            Self::MirroredVertically => (column, below),
            Self::Transposed => (row, column),
            Self::QuarterTurnClockwise => (below, column),
            Self::Transversed => (below, right),
            Self::QuarterTurnAnticlockwise => (row, right),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_eight_tags_are_orientations() {
        assert!(Orientation::from_tag(0).is_none());
        assert!(Orientation::from_tag(9).is_none());
        assert!((1..=8).all(|tag| Orientation::from_tag(tag).unwrap().tag() == tag));
    }

    #[test]
    fn every_orientation_moves_each_pixel_to_a_place_of_its_own() {
        let (width, height) = (3, 2);
        for orientation in (1..=8).filter_map(Orientation::from_tag) {
            let mut places: Vec<_> = (0..height)
                .flat_map(|row| (0..width).map(move |column| (column, row)))
                .map(|(column, row)| orientation.seen_at(column, row, width, height))
                .collect();
            let (across, down) = if orientation.swaps_sides() { (2, 3) } else { (3, 2) };
            assert!(places.iter().all(|&(column, row)| column < across && row < down));
            places.sort_unstable();
            places.dedup();
            assert_eq!(places.len(), 6, "{orientation:?}");
        }
    }

    #[test]
    fn a_quarter_turn_clockwise_brings_the_lower_left_corner_to_the_top_left() {
        assert_eq!(Orientation::QuarterTurnClockwise.seen_at(0, 1, 3, 2), (0, 0));
    }
}
