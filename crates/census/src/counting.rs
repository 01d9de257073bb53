use colour::{Band, BitDepth, RasterFormat};

use crate::byte_counters::ByteCounters;
use crate::cells::{CellGrid, MOST_CHANNELS};
use crate::compositing::Compositor;
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

    /// What several have counted together; `joins` says whether cells that share an entry are let go of.
    pub(crate) fn into_census(
        counters: Vec<Self>,
        lattice: Lattice,
        joins: bool,
    ) -> Result<ColourCensus, CensusError> {
        let unprinted = counters.iter().map(|counter| counter.unprinted).sum();
        let mut census = ColourCensus::of_cells(lattice, unprinted, Vec::new());
        let mut bytes = Vec::new();
        for Self { cells, .. } in counters {
            let (lattice, cells) = match cells {
                Cells::Bytes(cells) => {
                    bytes.push(cells);
                    continue;
                }
                Cells::Dense(grid) => (lattice, grid.into_occupied()),
                Cells::Sparse(cells) => cells.into_occupied(),
            };
            census.merge(&ColourCensus::of_cells(lattice, 0, cells))?;
        }
        match (bytes.is_empty(), joins) {
            (true, false) => Ok(census),
            (true, true) => Ok(census.into_joined()),
            (false, false) => {
                let cells = ByteCounters::together(bytes).into_occupied();
                Ok(ColourCensus::of_cells(lattice, unprinted, cells))
            }
            (false, true) => {
                let cells = ByteCounters::together(bytes);
                Ok(ColourCensus::of_counted(lattice, unprinted, cells))
            }
        }
    }
}

/// The cells of a picture: of 8-bit RGB, of few channels otherwise, or those that are met.
enum Cells {
    Bytes(ByteCounters),
    Dense(CellGrid),
    Sparse(SparseCells),
}

impl Cells {
    fn new(lattice: Lattice) -> Self {
        match lattice {
            Lattice::Sparse(sparse) => Self::Sparse(SparseCells::new(sparse)),
            Lattice::Rgb(BitDepth::Eight) => Self::Bytes(ByteCounters::new()),
            dense => Self::Dense(CellGrid::new(dense)),
        }
    }

    fn count<T: Sample>(&mut self, pixels: &[T]) {
        match self {
            Self::Bytes(cells) => cells.count(T::bytes(pixels).unwrap_or_default()),
            Self::Dense(grid) => grid.count(pixels),
            Self::Sparse(cells) => cells.count(pixels),
        }
    }
}
