use colour::{Band, BitDepth, RasterFormat};

use crate::cells::{Cell, CellGrid, MOST_CHANNELS};
use crate::census::merged;
use crate::compositing::Compositor;
use crate::exact_counts::{ExactCounts, folded};
use crate::lattice::Lattice;
use crate::preview_canvas::PreviewCanvas;
use crate::sample::Sample;
use crate::sparse_cells::SparseCells;
use crate::{CensusError, ColourCensus};

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

    /// What several have counted together.
    pub(crate) fn into_census(
        counters: Vec<Self>,
        lattice: Lattice,
    ) -> Result<ColourCensus, CensusError> {
        let mut census = ColourCensus::of_cells(lattice, 0, Vec::new());
        let mut counts = Vec::new();
        for Self { cells, unprinted, .. } in counters {
            let (lattice, cells) = match cells {
                Cells::Exact(exact) => {
                    counts.push(exact.counts);
                    (lattice, exact.folded)
                }
                Cells::Dense(grid) => (lattice, grid.into_occupied()),
                Cells::Sparse(cells) => cells.into_occupied(),
            };
            census.merge(&ColourCensus::of_cells(lattice, unprinted, cells))?;
        }
        if counts.is_empty() {
            return Ok(census);
        }
        let cells = folded(&counts);
        drop(counts);
        // Usually nothing has been folded before, and a second list would only take memory.
        if census.cells().is_empty() {
            return Ok(ColourCensus::of_cells(lattice, census.unprinted(), cells));
        }
        census.merge(&ColourCensus::of_cells(lattice, 0, cells))?;
        Ok(census)
    }
}

/// The cells of a picture: of all colours there can be, of all cells, or of those that are met.
enum Cells {
    Exact(Exact),
    Dense(CellGrid),
    Sparse(SparseCells),
}

/// Counters of single colours, and the cells of what they had no more room for.
struct Exact {
    counts: ExactCounts,
    folded: Vec<(u32, Cell)>,
}

impl Cells {
    fn new(lattice: Lattice) -> Self {
        match lattice {
            Lattice::Sparse(sparse) => Self::Sparse(SparseCells::new(sparse)),
            Lattice::Rgb(BitDepth::Eight) => {
                Self::Exact(Exact { counts: ExactCounts::new(), folded: Vec::new() })
            }
            dense => Self::Dense(CellGrid::new(dense)),
        }
    }

    fn count<T: Sample>(&mut self, pixels: &[T]) {
        match self {
            Self::Exact(exact) => exact.count(T::bytes(pixels).unwrap_or_default()),
            Self::Dense(grid) => grid.count(pixels),
            Self::Sparse(cells) => cells.count(pixels),
        }
    }
}

impl Exact {
    fn count(&mut self, samples: &[u8]) {
        if !self.counts.has_room_for(samples.len() / 3) {
            let full = std::mem::replace(&mut self.counts, ExactCounts::new());
            self.folded = merged(&self.folded, &folded(&[full]));
        }
        self.counts.count(samples);
    }
}
