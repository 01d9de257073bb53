use colour::{BitDepth, ColourModel};

/// Cells for colour models whose cells would be too many to hold them all: CMYK and CIELAB.
///
/// Every sample gives its top `bits` bits to the key. Counting starts with 7 bits, which are cells
/// of two levels of 256 as for RGB, and gives up a bit whenever a picture has more than
/// [`MOST_SPARSE_CELLS`] of them. A coarser cell is a union of finer ones, and whether the whole
/// picture has too many cells doesn't depend on the order of its pixels: so any number of threads
/// ends with the same cells.
///
/// The colour of bare paper (CMYK all 0, CIELAB L* 100 without colour) has a key of its own behind
/// all others.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct SparseLattice {
    pub(crate) model: ColourModel,
    pub(crate) depth: BitDepth,
    /// Bits of each sample in a key, [`FEWEST_BITS`] to [`MOST_BITS`].
    pub(crate) bits: u32,
}

/// Cells of a picture at most; our choice: 14 MB of cells, which separate in about a second.
pub(crate) const MOST_SPARSE_CELLS: usize = 1 << 18;
/// Bits of a sample in the finest key: four samples then fit 32 bits with room for white.
pub(crate) const MOST_BITS: u32 = 7;
/// With four bits even CMYK has no more than 65,536 cells.
pub(crate) const FEWEST_BITS: u32 = 4;

impl SparseLattice {
    pub(crate) const fn finest(model: ColourModel, depth: BitDepth) -> Self {
        Self { model, depth, bits: MOST_BITS }
    }

    /// The next coarser lattice.
    pub(crate) const fn coarser(self) -> Self {
        let bits = if self.bits > FEWEST_BITS { self.bits - 1 } else { FEWEST_BITS };
        Self { bits, ..self }
    }

    /// Whether both count the same samples, at whatever fineness.
    pub(crate) fn is_like(self, other: Self) -> bool {
        self.model == other.model && self.depth == other.depth
    }

    const fn key_bits(self) -> u32 {
        match self.model {
            ColourModel::Cmyk => 4 * self.bits,
            _ => 3 * self.bits,
        }
    }

    pub(crate) const fn white_key(self) -> u32 {
        1 << self.key_bits()
    }

    pub(crate) const fn sample_bits(self) -> u32 {
        match self.depth {
            BitDepth::Eight => 8,
            BitDepth::Sixteen => 16,
        }
    }

    /// The samples of bare paper.
    pub(crate) const fn white(self) -> [u64; 4] {
        let full = (1 << self.sample_bits()) - 1;
        match self.model {
            ColourModel::Lab => [full, full / 255 * 128, full / 255 * 128, 0],
            ColourModel::Cmyk => [0; 4],
            ColourModel::Gray | ColourModel::Rgb => [full; 4],
        }
    }

    /// The key of samples; the first sample stands highest.
    pub(crate) fn key(self, samples: impl IntoIterator<Item = u64>) -> u32 {
        let shift = self.sample_bits() - self.bits;
        let key = samples.into_iter().fold(0, |key, sample| key << self.bits | sample >> shift);
        u32::try_from(key).unwrap_or(u32::MAX)
    }

    /// The key in [`Self::coarser`] of a key in this lattice, white's excepted.
    pub(crate) fn coarsened(self, key: u32) -> u32 {
        let coarser = self.coarser().bits;
        let mask = (1 << self.bits) - 1;
        let channels = self.key_bits() / self.bits;
        (0..channels).rev().fold(0, |wide, place| {
            let part = key >> (place * self.bits) & mask;
            wide << coarser | part >> (self.bits - coarser)
        })
    }

    /// The lowest and highest sample of one channel in a cell.
    pub(crate) fn bounds(self, key: u32, channel: usize) -> (u64, u64) {
        if key == self.white_key() {
            return (self.white()[channel], self.white()[channel]);
        }
        let last = self.key_bits() / self.bits - 1;
        let place = last.saturating_sub(u32::try_from(channel).unwrap_or(last));
        let part = key >> (place * self.bits) & ((1 << self.bits) - 1);
        let shift = self.sample_bits() - self.bits;
        let low = u64::from(part) << shift;
        (low, low + (1 << shift) - 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FINEST: SparseLattice = SparseLattice::finest(ColourModel::Cmyk, BitDepth::Eight);

    #[test]
    fn a_coarsened_key_is_the_key_in_the_coarser_lattice() {
        for samples in [[0, 1, 2, 3], [255, 254, 128, 127], [17, 99, 200, 3]] {
            let coarsened = FINEST.coarsened(FINEST.key(samples));
            assert_eq!(coarsened, FINEST.coarser().key(samples));
        }
    }

    #[test]
    fn the_coarsest_lattice_has_fewer_cells_than_are_allowed() {
        let coarsest = SparseLattice { bits: FEWEST_BITS, ..FINEST };
        assert_eq!(coarsest.coarser(), coarsest);
        assert!((coarsest.white_key() as usize) < MOST_SPARSE_CELLS);
    }

    #[test]
    fn bounds_of_a_cell_hold_its_samples() {
        let samples = [255, 4, 130, 77];
        let key = FINEST.key(samples);
        for (channel, sample) in samples.into_iter().enumerate() {
            let (low, high) = FINEST.bounds(key, channel);
            assert!((low..=high).contains(&sample), "{channel}");
        }
    }

    #[test]
    fn neutral_white_of_cielab_is_exact_at_both_depths() {
        for (depth, neutral) in [(BitDepth::Eight, 128), (BitDepth::Sixteen, 32_896)] {
            let white = SparseLattice::finest(ColourModel::Lab, depth).white();
            assert_eq!(white[1..3], [neutral; 2]);
        }
    }
}
