use std::fmt;

use colour::{BitDepth, ColourModel};

use crate::place_bits::interleaved;
use crate::sparse_lattice::SparseLattice;

/// How colours fall into cells: which bits of each sample make the key of its cell.
///
/// | picture                          | cells           | key                |
/// |----------------------------------|-----------------|--------------------|
/// | RGB, every sample below a quarter| 64 × 64 × 64    | top 8 bits of each |
/// | RGB otherwise                    | 128 × 128 × 128 | top 7 bits of each |
/// | gray, 8 bit                      | 256, each exact | the sample         |
/// | gray, 16 bit                     | 4096            | top 12 bits        |
/// | CMYK, CIELAB                     | 16 to 128 along each axis | see [`SparseLattice`] |
///
/// White, every sample at its maximum (CMYK: at 0), has a key of its own behind all others. Shadows are finer
/// because ink bends most sharply there: across near-black neutrals, with 64 cells over the whole
/// of each axis, the total of a dark picture was off by 0.7 %, fourteen times what is allowed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Lattice {
    Gray(BitDepth),
    Rgb(BitDepth),
    Sparse(SparseLattice),
}

/// Bits of a sample in the key of a shadow cell, and of any other RGB cell.
pub(crate) const SHADOW_BITS: u32 = 8;
pub(crate) const RGB_BITS: u32 = 7;
/// Shadow cells along an axis: the lowest quarter of 2^8.
pub(crate) const SHADOW_CELLS: u8 = 64;
/// Place of red, green and blue in the key of a shadow cell.
pub(crate) const SHADOW_PLACES: [u32; 3] = [12, 6, 0];
/// Place of red, green and blue in any other key, counted from [`FIRST_RGB_KEY`].
pub(crate) const RGB_PLACES: [u32; 3] = [2 * RGB_BITS, RGB_BITS, 0];
/// The first key that is no shadow's.
pub(crate) const FIRST_RGB_KEY: u32 = 1 << 18;
/// Key of white, behind all others.
pub(crate) const WHITE_RGB_KEY: u32 = FIRST_RGB_KEY + (1 << (3 * RGB_BITS));
const GRAY_16_BITS: u32 = 12;

impl Lattice {
    /// The lattice of a picture; a sparse one is the finest.
    pub(crate) const fn of(model: ColourModel, depth: BitDepth) -> Self {
        match model {
            ColourModel::Gray => Self::Gray(depth),
            ColourModel::Rgb => Self::Rgb(depth),
            ColourModel::Cmyk | ColourModel::Lab => {
                Self::Sparse(SparseLattice::finest(model, depth))
            }
        }
    }

    /// Whether censuses of both can be merged.
    pub(crate) fn is_like(self, other: Self) -> bool {
        match (self, other) {
            (Self::Sparse(one), Self::Sparse(other)) => one.is_like(other),
            _ => self == other,
        }
    }

    pub(crate) const fn model(self) -> ColourModel {
        match self {
            Self::Gray(_) => ColourModel::Gray,
            Self::Rgb(_) => ColourModel::Rgb,
            Self::Sparse(sparse) => sparse.model,
        }
    }

    pub(crate) const fn depth(self) -> BitDepth {
        match self {
            Self::Gray(depth) | Self::Rgb(depth) => depth,
            Self::Sparse(sparse) => sparse.depth,
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
            Self::Gray(_) => 1 << self.gray_bits(),
            Self::Rgb(_) => WHITE_RGB_KEY,
            Self::Sparse(sparse) => sparse.white_key(),
        }
    }

    /// Number of cells, white not counted.
    pub(crate) const fn cells(self) -> usize {
        self.white_key() as usize
    }

    /// How far a gray sample is shifted right to give its key.
    pub(crate) const fn gray_shift(self) -> u32 {
        self.sample_bits() - self.gray_bits()
    }

    /// The lowest and highest sample of one channel in a cell.
    pub(crate) fn bounds(self, key: u32, channel: usize) -> (u64, u64) {
        if let Self::Sparse(sparse) = self {
            return sparse.bounds(key, channel);
        }
        if key == self.white_key() {
            return (self.full_scale(), self.full_scale());
        }
        let (part, bits) = match self {
            Self::Gray(_) => (key, self.gray_bits()),
            Self::Sparse(_) => (0, 0),
            Self::Rgb(_) if key < FIRST_RGB_KEY => {
                (key >> SHADOW_PLACES[channel] & ((1 << SHADOW_PLACES[1]) - 1), SHADOW_BITS)
            }
            Self::Rgb(_) => {
                let place = (key - FIRST_RGB_KEY) >> RGB_PLACES[channel];
                (place & ((1 << RGB_BITS) - 1), RGB_BITS)
            }
        };
        let shift = self.sample_bits() - bits;
        let low = u64::from(part) << shift;
        (low, low + (1 << shift) - 1)
    }

    /// What cells are in order of: those of RGB of their place among colours of 8 bits, so that cells of
    /// the same cube are neighbours, and others of their keys. White comes last.
    pub(crate) fn order(self, key: u32) -> u32 {
        match self {
            Self::Rgb(_) => rgb_place(key),
            Self::Gray(_) | Self::Sparse(_) => key,
        }
    }

    const fn gray_bits(self) -> u32 {
        match self.depth() {
            BitDepth::Eight => 8,
            BitDepth::Sixteen => GRAY_16_BITS,
        }
    }

    const fn sample_bits(self) -> u32 {
        match self.depth() {
            BitDepth::Eight => 8,
            BitDepth::Sixteen => 16,
        }
    }
}

/// The place of an RGB cell among colours of 8 bits, that of its lowest colour: see [`interleaved`].
pub(crate) fn rgb_place(key: u32) -> u32 {
    let part = |key: u32, place: u32| (key >> place).to_le_bytes()[0];
    match key.checked_sub(FIRST_RGB_KEY) {
        _ if key == WHITE_RGB_KEY => interleaved([u8::MAX; 3]),
        None => interleaved(SHADOW_PLACES.map(|place| part(key, place) % SHADOW_CELLS)),
        // The eighth bit is the next part's, and is shifted out.
        Some(key) => interleaved(RGB_PLACES.map(|place| part(key, place) << 1)),
    }
}

impl fmt::Display for Lattice {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{} at {} bits", self.model(), self.sample_bits())
    }
}
