use std::fmt;

use colour::{BitDepth, ColourModel};

/// How colours fall into cells: which bits of each sample make the key of its cell.
///
/// | picture      | cells              | key                      |
/// |--------------|--------------------|--------------------------|
/// | RGB          | 64 × 64 × 64       | top 6 bits of each       |
/// | gray, 8 bit  | 256, each exact    | the sample               |
/// | gray, 16 bit | 4096               | top 12 bits              |
///
/// White, every sample at its maximum, has a key of its own behind all others.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Lattice {
    Gray(BitDepth),
    Rgb(BitDepth),
}

/// 64 cells an axis keep a kinked separation within the accuracy rule; see `tests/census`.
pub(crate) const RGB_BITS: u32 = 6;
/// Place of red, green and blue in a key.
pub(crate) const RGB_PLACES: [u32; 3] = [2 * RGB_BITS, RGB_BITS, 0];
const GRAY_16_BITS: u32 = 12;

impl Lattice {
    /// The lattice of a picture, or `None` for a colour model that has none yet.
    pub(crate) const fn of(model: ColourModel, depth: BitDepth) -> Option<Self> {
        match model {
            ColourModel::Gray => Some(Self::Gray(depth)),
            ColourModel::Rgb => Some(Self::Rgb(depth)),
            ColourModel::Cmyk => None,
        }
    }

    pub(crate) const fn model(self) -> ColourModel {
        match self {
            Self::Gray(_) => ColourModel::Gray,
            Self::Rgb(_) => ColourModel::Rgb,
        }
    }

    pub(crate) const fn depth(self) -> BitDepth {
        match self {
            Self::Gray(depth) | Self::Rgb(depth) => depth,
        }
    }

    pub(crate) const fn channels(self) -> usize {
        self.model().channels()
    }

    /// The largest sample.
    pub(crate) const fn full_scale(self) -> u64 {
        (1 << self.sample_bits()) - 1
    }

    /// Key of the white cell; all other keys are smaller.
    pub(crate) const fn white_key(self) -> u32 {
        match self {
            Self::Gray(_) => 1 << self.axis_bits(),
            Self::Rgb(_) => 1 << (3 * self.axis_bits()),
        }
    }

    /// Number of cells, white not counted.
    pub(crate) const fn cells(self) -> usize {
        self.white_key() as usize
    }

    /// How far a sample is shifted right to give its part of the key.
    pub(crate) const fn shift(self) -> u32 {
        self.sample_bits() - self.axis_bits()
    }

    /// The lowest and highest sample of one channel in a cell.
    pub(crate) fn bounds(self, key: u32, channel: usize) -> (u64, u64) {
        if key == self.white_key() {
            return (self.full_scale(), self.full_scale());
        }
        let below = match self {
            Self::Gray(_) => 0,
            Self::Rgb(_) => RGB_PLACES[channel],
        };
        let part = u64::from(key >> below) & ((1 << self.axis_bits()) - 1);
        let low = part << self.shift();
        (low, low + (1 << self.shift()) - 1)
    }

    const fn axis_bits(self) -> u32 {
        match self {
            Self::Gray(BitDepth::Eight) => 8,
            Self::Gray(BitDepth::Sixteen) => GRAY_16_BITS,
            Self::Rgb(_) => RGB_BITS,
        }
    }

    const fn sample_bits(self) -> u32 {
        match self.depth() {
            BitDepth::Eight => 8,
            BitDepth::Sixteen => 16,
        }
    }
}

impl fmt::Display for Lattice {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{} at {} bits", self.model(), self.sample_bits())
    }
}
