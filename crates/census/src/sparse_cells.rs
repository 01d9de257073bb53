use crate::cells::{Cell, MOST_CHANNELS};
use crate::key_hasher::KeyMap;
use crate::lattice::Lattice;
use crate::sample::Sample;
use crate::sparse_lattice::{MOST_SPARSE_CELLS, SparseLattice};

/// The cells of a sparse lattice that have been met.
pub(crate) struct SparseCells {
    lattice: SparseLattice,
    cells: KeyMap<Cell>,
    white: u64,
}

impl SparseCells {
    pub(crate) fn new(lattice: SparseLattice) -> Self {
        Self { lattice, cells: KeyMap::default(), white: 0 }
    }

    /// Counts opaque pixels. Cells are only given up between calls: a row at a time keeps the
    /// table small.
    pub(crate) fn count<T: Sample>(&mut self, pixels: &[T]) {
        if self.lattice.model.channels() == MOST_CHANNELS {
            self.count_samples::<T, MOST_CHANNELS>(pixels);
        } else {
            self.count_samples::<T, 3>(pixels);
        }
        self.keep_few();
    }

    fn count_samples<T: Sample, const N: usize>(&mut self, pixels: &[T]) {
        let white = self.lattice.white();
        for pixel in pixels.as_chunks::<N>().0 {
            let samples = pixel.map(Sample::widened);
            if samples[..] == white[..N] {
                self.white += 1;
                continue;
            }
            let cell = self.cells.entry(self.lattice.key(samples)).or_default();
            cell.pixels += 1;
            for (sum, sample) in cell.sums.iter_mut().zip(samples) {
                *sum += sample;
            }
        }
    }

    fn keep_few(&mut self) {
        while self.cells.len() > MOST_SPARSE_CELLS {
            let finer = std::mem::take(&mut self.cells);
            for (key, cell) in finer {
                self.cells.entry(self.lattice.coarsened(key)).or_default().add(&cell);
            }
            self.lattice = self.lattice.coarser();
        }
    }

    /// The lattice that was come to, and its cells by rising key; white comes last.
    pub(crate) fn into_occupied(self) -> (Lattice, Vec<(u32, Cell)>) {
        let sums = self.lattice.white().map(|sample| sample * self.white);
        let white = (self.lattice.white_key(), Cell { pixels: self.white, sums });
        let mut cells: Vec<_> = self.cells.into_iter().collect();
        cells.sort_unstable_by_key(|(key, _)| *key);
        cells.extend((self.white > 0).then_some(white));
        (Lattice::Sparse(self.lattice), cells)
    }
}

/// Cells of the next coarser lattice, from cells by rising key with white last.
pub(crate) fn coarsened(lattice: SparseLattice, cells: &[(u32, Cell)]) -> Vec<(u32, Cell)> {
    let coarser = |key: u32| {
        if key == lattice.white_key() {
            lattice.coarser().white_key()
        } else {
            lattice.coarsened(key)
        }
    };
    let mut wide: Vec<(u32, Cell)> =
        cells.iter().map(|(key, cell)| (coarser(*key), *cell)).collect();
    wide.sort_by_key(|(key, _)| *key);
    wide.dedup_by(|next, kept| {
        let same = next.0 == kept.0;
        if same {
            kept.1.add(&next.1);
        }
        same
    });
    wide
}
