use colour::{Band, RasterFormat};

use crate::ColourCensus;
use crate::cells::CellGrid;
use crate::compositing::Compositor;
use crate::lattice::Lattice;
use crate::preview_canvas::PreviewCanvas;
use crate::sample::Sample;

/// Counts bands into cells of its own and paints them on the shared canvas of the preview.
pub(crate) struct BandCounter<'a, T> {
    lattice: Lattice,
    samples_per_row: usize,
    compositor: Compositor<T>,
    cells: CellGrid,
    unprinted: u64,
    canvas: &'a PreviewCanvas,
}

impl<'a, T: Sample> BandCounter<'a, T> {
    pub(crate) fn new(
        format: &RasterFormat,
        lattice: Lattice,
        backdrop: [T; 3],
        canvas: &'a PreviewCanvas,
    ) -> Self {
        Self {
            lattice,
            samples_per_row: format.samples_per_row(),
            compositor: Compositor::new(format, backdrop),
            cells: CellGrid::new(lattice),
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
        ColourCensus::of_cells(self.lattice, self.unprinted, self.cells.into_occupied())
    }
}
