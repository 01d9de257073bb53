use rayon::prelude::*;

use crate::lattice::{
    FIRST_RGB_KEY, Lattice, RGB_BITS, RGB_PLACES, SHADOW_BITS, SHADOW_CELLS, SHADOW_PLACES,
};
use crate::sample::Sample;

/// What a cell knows of its pixels: how many there are, and the sums of their samples.
///
/// The sums that a colour model has no use for stay zero.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Cell {
    pub(crate) pixels: u64,
    pub(crate) sums: [u64; MOST_CHANNELS],
}

/// Samples of a colour, at most: CMYK has four.
pub(crate) const MOST_CHANNELS: usize = 4;

impl Cell {
    pub(crate) fn add(&mut self, other: &Self) {
        self.pixels += other.pixels;
        for (sum, more) in self.sums.iter_mut().zip(other.sums) {
            *sum += more;
        }
    }
}

/// A cell of the dense grid: three sums are enough for gray and RGB, and a quarter less memory
/// to walk over.
#[derive(Clone, Copy, Default)]
struct DenseCell {
    pixels: u64,
    sums: [u64; 3],
}

impl From<DenseCell> for Cell {
    fn from(DenseCell { pixels, sums: [one, two, three] }: DenseCell) -> Self {
        Self { pixels, sums: [one, two, three, 0] }
    }
}

/// All cells of a dense lattice, ready for counting: 72 MiB of address space for RGB, of which a
/// picture touches what it has colours for.
pub(crate) struct CellGrid {
    lattice: Lattice,
    cells: Vec<DenseCell>,
    white: u64,
}

impl CellGrid {
    pub(crate) fn new(lattice: Lattice) -> Self {
        Self { lattice, cells: vec![DenseCell::default(); lattice.cells()], white: 0 }
    }

    /// Counts opaque pixels, `lattice.channels()` samples each.
    pub(crate) fn count<T: Sample>(&mut self, pixels: &[T]) {
        match self.lattice {
            Lattice::Gray(_) => self.count_gray(pixels),
            Lattice::Rgb(_) => self.count_rgb(pixels),
            Lattice::Sparse(_) => {}
        }
    }

    fn count_gray<T: Sample>(&mut self, pixels: &[T]) {
        let shift = self.lattice.gray_shift();
        for gray in pixels {
            if *gray == T::MAX {
                self.white += 1;
                continue;
            }
            let cell = &mut self.cells[gray.index() >> shift];
            cell.pixels += 1;
            cell.sums[0] += gray.widened();
        }
    }

    fn count_rgb<T: Sample>(&mut self, pixels: &[T]) {
        for [red, green, blue] in pixels.as_chunks::<3>().0 {
            // The maximum has all bits set, so that one comparison is enough.
            if red.index() & green.index() & blue.index() == T::MAX.index() {
                self.white += 1;
                continue;
            }
            let key = rgb_key([red, green, blue].map(|sample| sample.leading_byte()));
            let cell = &mut self.cells[key as usize];
            cell.pixels += 1;
            cell.sums[0] += red.widened();
            cell.sums[1] += green.widened();
            cell.sums[2] += blue.widened();
        }
    }

    /// The cells that hold pixels, in the order of the lattice.
    pub(crate) fn into_occupied(self) -> Vec<(u32, Cell)> {
        let white = self.white_cell();
        let white_key = self.lattice.white_key();
        let cells = (0..white_key).zip(self.cells.into_iter().map(Cell::from));
        let all = cells.chain([(white_key, white)]);
        let mut occupied: Vec<_> = all.filter(|(_, cell)| cell.pixels > 0).collect();
        occupied.par_sort_by_cached_key(|(key, _)| self.lattice.order(*key));
        occupied
    }

    fn white_cell(&self) -> Cell {
        let mut sums = [0; MOST_CHANNELS];
        sums[..self.lattice.channels()].fill(self.white * self.lattice.full_scale());
        Cell { pixels: self.white, sums }
    }
}

/// The key of the cell of an RGB colour other than white, from the highest byte of each sample.
pub(crate) fn rgb_key([red, green, blue]: [u8; 3]) -> u32 {
    let keyed = |places: [u32; 3], bits: u32| {
        let shifted = |sample: u8| u32::from(sample >> (SHADOW_BITS - bits));
        let [red, green, blue] = [red, green, blue].map(shifted);
        red << places[0] | green << places[1] | blue << places[2]
    };
    // All three lie in the lowest quarter when their bits together do.
    if red | green | blue < SHADOW_CELLS {
        keyed(SHADOW_PLACES, SHADOW_BITS)
    } else {
        FIRST_RGB_KEY + keyed(RGB_PLACES, RGB_BITS)
    }
}
