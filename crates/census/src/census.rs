use std::cmp::Ordering;
use std::ops::Range;
use std::sync::OnceLock;

use colour::{BitDepth, ColourModel};
use rayon::prelude::*;

use crate::cells::Cell;
use crate::counted_cells::CountedCells;
use crate::grouping::{Grouped, grouped, parts_of, wide_of};
use crate::lattice::Lattice;
use crate::sparse_cells::coarsened;
use crate::sparse_lattice::{MOST_SPARSE_CELLS, SparseLattice};
use crate::{CensusError, SourceColour};

/// The most pixels of a census: the sums of 16-bit samples then fit 64 bits. Far above the 10
/// gigapixels that the trade prints.
pub(crate) const MOST_PIXELS: u64 = 1 << 48;

/// How many pixels of a picture have which colour.
///
/// Colours are counted in cells, and [`entries`](Self::entries) joins neighbouring cells where that
/// hardly moves ink, [`wide_entries`](Self::wide_entries) more of them where it hardly moves colour
/// differences. Censuses merge cell by cell, and are stored so or [`joined`](Self::joined).
///
/// Colours are binned in cells of the picture's encoding: 64 × 64 × 64 for RGB shadows (every
/// sample below a quarter), 128 × 128 × 128 for other RGB, one for each sample for gray of 8
/// bits, 4096 for gray of 16 bits; for CMYK and CIELAB 16 to 128 along each axis, as fine as
/// 262,144 cells allow. Each occupied cell holds the number of its pixels and their
/// exact mean colour. White, every sample at its maximum (CMYK: at 0), has a cell of its own, so that it is
/// never averaged with near-white. Pixels without opacity are counted apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ColourCensus {
    lattice: Lattice,
    unprinted: u64,
    /// Pixels of all cells.
    printed: u64,
    /// Occupied cells in the order of the lattice; of a joined census its entries, in the same order.
    cells: Vec<(u32, Cell)>,
    /// Of a joined census: which entries begin a wide one.
    begins: Option<Vec<bool>>,
    derived: Derived,
}

/// The cells of a picture of so many pixels are not joined for ink. Our choice, about two megapixels: its
/// cells are few, and a preview holds such a picture whole.
const FEW_PIXELS: u64 = 1 << 21;

/// Whether the cells of a picture of so many pixels are joined for ink.
const fn are_joined(pixels: u64) -> bool {
    pixels > FEW_PIXELS
}

/// What follows from the cells, once it has been asked for, so that any two are equal.
#[derive(Clone, Debug, Default)]
struct Derived {
    /// Of a census that is not joined: its entries.
    grouped: OnceLock<Grouped>,
    wide: OnceLock<Vec<Cell>>,
}

impl PartialEq for Derived {
    fn eq(&self, _other: &Self) -> bool {
        true
    }
}

impl Eq for Derived {}

/// A colour of a picture and the area it takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CensusEntry {
    /// The mean colour of its pixels.
    pub colour: SourceColour,
    /// How many there are, at least 1.
    pub pixels: u64,
}

impl ColourCensus {
    /// A census of nothing, to merge tiles into.
    #[must_use]
    pub fn empty(model: ColourModel, depth: BitDepth) -> Self {
        Self::of_cells(Lattice::of(model, depth), 0, Vec::new())
    }

    pub(crate) fn of_cells(lattice: Lattice, unprinted: u64, cells: Vec<(u32, Cell)>) -> Self {
        let printed = cells.iter().map(|(_, cell)| cell.pixels).sum();
        Self { lattice, unprinted, printed, cells, begins: None, derived: Derived::default() }
    }

    pub(crate) fn of_joined_cells(
        lattice: Lattice,
        unprinted: u64,
        cells: Vec<(u32, Cell)>,
        begins: Vec<bool>,
    ) -> Self {
        Self { begins: Some(begins), ..Self::of_cells(lattice, unprinted, cells) }
    }

    /// The census without the cells that share an entry: of a photograph a tenth of the room. All that
    /// [`entries`](Self::entries) and [`wide_entries`](Self::wide_entries) tell is the same to the last
    /// bit; it can't be merged with another.
    #[must_use]
    pub fn joined(&self) -> Self {
        self.clone().into_joined()
    }

    /// [`joined`](Self::joined) without a copy where nothing is joined.
    pub(crate) fn into_joined(self) -> Self {
        let joins = matches!(self.lattice, Lattice::Rgb(_)) && are_joined(self.pixels());
        if !joins || self.begins.is_some() {
            return self;
        }
        let (fine, begins) = self.fine();
        Self::of_joined_cells(self.lattice, self.unprinted, fine.to_vec(), begins.to_vec())
    }

    /// What was counted of 8-bit RGB, joined as by [`joined`](Self::joined).
    pub(crate) fn of_counted(lattice: Lattice, unprinted: u64, cells: CountedCells) -> Self {
        if are_joined(cells.pixels() + unprinted) {
            let Grouped { fine, begins } = cells.grouped(lattice, true);
            Self::of_joined_cells(lattice, unprinted, fine, begins)
        } else {
            Self::of_cells(lattice, unprinted, cells.into_occupied())
        }
    }

    /// What the samples of the colours mean.
    #[must_use]
    pub const fn model(&self) -> ColourModel {
        self.lattice.model()
    }

    /// Bits of a sample of the picture.
    #[must_use]
    pub const fn depth(&self) -> BitDepth {
        self.lattice.depth()
    }

    /// Pixels without any opacity: they count in the area but take no ink.
    #[must_use]
    pub const fn unprinted(&self) -> u64 {
        self.unprinted
    }

    /// All pixels, unprinted ones included.
    #[must_use]
    pub const fn pixels(&self) -> u64 {
        self.printed + self.unprinted
    }

    /// The colours that stand for the picture, in a fixed order, white last. Unprinted pixels are
    /// not among them. Of pictures above two megapixels neighbouring cells of RGB share an entry where
    /// little ink hangs on the difference.
    pub fn entries(&self) -> impl ExactSizeIterator<Item = CensusEntry> + '_ {
        self.fine().0.iter().map(|(_, cell)| self.entry(cell))
    }

    /// [`entries`](Self::entries), in the same order, for work on several threads.
    pub fn par_entries(&self) -> impl IndexedParallelIterator<Item = CensusEntry> + '_ {
        self.fine().0.par_iter().map(|(_, cell)| self.entry(cell))
    }

    /// Fewer colours, for what is looked at and not dosed: more neighbouring cells of RGB share one, so
    /// that means and percentiles of colour differences hardly move. The largest may lie in a part, see
    /// [`wide_parts`](Self::wide_parts). In a fixed order, white last.
    pub fn wide_entries(&self) -> impl ExactSizeIterator<Item = CensusEntry> + '_ {
        self.wide().iter().map(|cell| self.entry(cell))
    }

    /// [`wide_entries`](Self::wide_entries), in the same order, for work on several threads.
    pub fn par_wide_entries(&self) -> impl IndexedParallelIterator<Item = CensusEntry> + '_ {
        self.wide().par_iter().map(|cell| self.entry(cell))
    }

    /// By wide entry: the places among [`entries`](Self::entries) of those that it joins.
    #[must_use]
    pub fn wide_parts(&self) -> Vec<Range<usize>> {
        parts_of(self.fine().1)
    }

    /// The entries, and which of them begin a wide one.
    fn fine(&self) -> (&[(u32, Cell)], &[bool]) {
        if let Some(begins) = &self.begins {
            return (&self.cells, begins);
        }
        let for_ink = are_joined(self.pixels());
        let group = || grouped(self.lattice, &self.cells, self.printed, for_ink);
        let Grouped { fine, begins } = self.derived.grouped.get_or_init(group);
        (fine, begins)
    }

    fn wide(&self) -> &[Cell] {
        self.derived.wide.get_or_init(|| {
            let (fine, begins) = self.fine();
            wide_of(fine, begins)
        })
    }

    /// Every counted cell by itself, or of a joined census its entries, in a fixed order, white last.
    pub fn finest_entries(&self) -> impl ExactSizeIterator<Item = CensusEntry> + '_ {
        self.cells.iter().map(|(_, cell)| self.entry(cell))
    }

    fn entry(&self, cell: &Cell) -> CensusEntry {
        CensusEntry { colour: self.mean(cell), pixels: cell.pixels }
    }

    /// Adds the pixels of another part of the same picture. Merging all parts gives the census
    /// of the whole, bit for bit.
    ///
    /// # Errors
    ///
    /// `Unlike` when colour model or depth differ or one is joined, `TooManyPixels` above 2^48 pixels;
    /// this census is then unchanged.
    pub fn merge(&mut self, other: &Self) -> Result<(), CensusError> {
        let is_joined = self.begins.is_some() || other.begins.is_some();
        if is_joined || !self.lattice.is_like(other.lattice) {
            return Err(CensusError::Unlike { one: self.kind(), other: other.kind() });
        }
        check_pixels(self.pixels().saturating_add(other.pixels()))?;
        self.derived = Derived::default();
        self.unprinted += other.unprinted;
        self.printed += other.printed;
        match (self.lattice, other.lattice) {
            (Lattice::Sparse(mine), Lattice::Sparse(theirs)) => {
                self.merge_sparse(mine, theirs, other);
            }
            (lattice, _) => self.cells = merged(lattice, &self.cells, &other.cells),
        }
        Ok(())
    }

    /// Merges at the coarser of both lattices, and at a still coarser one while there are too
    /// many cells.
    fn merge_sparse(&mut self, mine: SparseLattice, theirs: SparseLattice, other: &Self) {
        let mut theirs = (theirs, other.cells.clone());
        let mut mine = (mine, std::mem::take(&mut self.cells));
        while mine.0.bits > theirs.0.bits {
            mine = (mine.0.coarser(), coarsened(mine.0, &mine.1));
        }
        while theirs.0.bits > mine.0.bits {
            theirs = (theirs.0.coarser(), coarsened(theirs.0, &theirs.1));
        }
        let lattice = Lattice::Sparse(mine.0);
        let mut both = (mine.0, merged(lattice, &mine.1, &theirs.1));
        while sparse_cells(&both) > MOST_SPARSE_CELLS {
            both = (both.0.coarser(), coarsened(both.0, &both.1));
        }
        (self.lattice, self.cells) = (Lattice::Sparse(both.0), both.1);
    }

    fn kind(&self) -> String {
        let joined = if self.begins.is_some() { ", joined" } else { "" };
        format!("{}{joined}", self.lattice)
    }

    /// Which cells begin a wide entry, if the census is joined.
    pub(crate) fn begins(&self) -> Option<&[bool]> {
        self.begins.as_deref()
    }

    pub(crate) const fn lattice(&self) -> Lattice {
        self.lattice
    }

    pub(crate) fn cells(&self) -> &[(u32, Cell)] {
        &self.cells
    }

    #[expect(
        clippy::cast_precision_loss,
        reason = "the mean of exact sums is rounded once, to the nearest double"
    )]
    fn mean(&self, cell: &Cell) -> SourceColour {
        let full = (cell.pixels * self.lattice.full_scale()) as f64;
        let means @ [first, second, third, _] = cell.sums.map(|sum| sum as f64 / full);
        match self.lattice.model() {
            ColourModel::Gray => SourceColour::Gray(first),
            ColourModel::Rgb => SourceColour::Rgb([first, second, third]),
            ColourModel::Cmyk => SourceColour::Cmyk(means),
            ColourModel::Lab => SourceColour::Lab([first, second, third]),
        }
    }
}

/// Refuses more pixels than the sums can hold.
pub(crate) const fn check_pixels(pixels: u64) -> Result<(), CensusError> {
    if pixels > MOST_PIXELS {
        return Err(CensusError::TooManyPixels { pixels, limit: MOST_PIXELS });
    }
    Ok(())
}

/// Cells of a sparse lattice, white not counted.
fn sparse_cells((lattice, cells): &(SparseLattice, Vec<(u32, Cell)>)) -> usize {
    let white = cells.last().is_some_and(|(key, _)| *key == lattice.white_key());
    cells.len() - usize::from(white)
}

/// Merges two lists in the order of the lattice.
fn merged(lattice: Lattice, one: &[(u32, Cell)], other: &[(u32, Cell)]) -> Vec<(u32, Cell)> {
    let mut all = Vec::with_capacity(one.len().max(other.len()));
    let (mut left, mut right) = (one.iter().peekable(), other.iter().peekable());
    while let (Some(a), Some(b)) = (left.peek(), right.peek()) {
        match lattice.order(a.0).cmp(&lattice.order(b.0)) {
            Ordering::Less => all.extend(left.next()),
            Ordering::Greater => all.extend(right.next()),
            Ordering::Equal => {
                let (key, mut sum) = **a;
                sum.add(&b.1);
                all.push((key, sum));
                left.next();
                right.next();
            }
        }
    }
    all.extend(left);
    all.extend(right);
    all
}
