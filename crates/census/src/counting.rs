use colour::{Band, RasterFormat};

use crate::ColourCensus;
use crate::cells::{Cell, CellGrid, MOST_CHANNELS};
use crate::compositing::Compositor;
use crate::lattice::Lattice;
use crate::preview_canvas::PreviewCanvas;
use crate::sample::Sample;
use crate::sparse_cells::SparseCells;

/// Counts bands into cells of its own and paints them on the shared canvas of the preview.
pub(crate) struct BandCounter<'a, T> {
    samples_per_row: usize,
    compositor: Compositor<T>,
    cells: Cells,
    unprinted: u64,
    canvas: &'a PreviewCanvas,
}

impl<'a, T: Sample> BandCounter<'a, T> {
    pub(crate) fn new(
        format: &RasterFormat,
        lattice: Lattice,
        backdrop: [T; MOST_CHANNELS],
        canvas: &'a PreviewCanvas,
    ) -> Self {
        Self {
            samples_per_row: format.samples_per_row(),
            compositor: Compositor::new(format, backdrop),
            cells: Cells::new(lattice),
            unprinted: 0,
            canvas,
        }
    }

    /// Counts a band whose shape has been checked.
    pub(crate) fn count(&mut self, band: &Band) {
        let samples = T::of(&band.samples).unwrap_or_default();
        for (row, samples) in (band.first_row..).zip(samples.chunks_exact(self.samples_per_row)) {
            let opaque = self.compositor.lay(samples);
            self.cells.count(opaque.printed);
            self.unprinted += opaque.unprinted;
            self.canvas.add(row, opaque.seen);
        }
    }

    pub(crate) fn into_census(self) -> ColourCensus {
        let (lattice, cells) = self.cells.into_occupied();
        ColourCensus::of_cells(lattice, self.unprinted, cells)
    }
}

/// The cells of a picture: all there can be, or those that are met.
enum Cells {
    Dense(Lattice, CellGrid),
    Sparse(SparseCells),
}

impl Cells {
    fn new(lattice: Lattice) -> Self {
        match lattice {
            Lattice::Sparse(sparse) => Self::Sparse(SparseCells::new(sparse)),
            dense => Self::Dense(dense, CellGrid::new(dense)),
        }
    }

    fn count<T: Sample>(&mut self, pixels: &[T]) {
        match self {
            Self::Dense(_, grid) => grid.count(pixels),
            Self::Sparse(cells) => cells.count(pixels),
        }
    }

    fn into_occupied(self) -> (Lattice, Vec<(u32, Cell)>) {
        match self {
            Self::Dense(lattice, grid) => (lattice, grid.into_occupied()),
            Self::Sparse(cells) => cells.into_occupied(),
        }
    }
}
