use std::slice;

use rayon::prelude::*;

use crate::cells::{Cell, rgb_key};
use crate::grouping::{BLOCKS, Group, Grouped, Joining, PLACES_OF_BLOCK, block_of};
use crate::lattice::{Lattice, SHADOW_CELLS, WHITE_RGB_KEY};
use crate::place_bits::interleaved;

/// A colour of 8-bit RGB.
pub(crate) type Colour = [u8; 3];

pub(crate) const WHITE: Colour = [u8::MAX; 3];

/// The cells of a picture that hold pixels.
pub(crate) struct CountedCells {
    /// By place.
    cells: Vec<CountedCell>,
    /// Likewise; each is of a cell that is among them.
    carried: Vec<Carried>,
}

/// Pixels of a colour that its counter could not hold.
pub(crate) struct Carried {
    /// That of the lowest colour in the cell.
    place: u32,
    colour: Colour,
    pixels: u64,
}

impl Carried {
    pub(crate) fn new(colour: Colour, pixels: u64) -> Self {
        Self { place: interleaved(lowest_of_cell(colour)), colour, pixels }
    }
}

impl CountedCells {
    /// Puts parts of a picture's cells in order; no two of them are the same cell.
    pub(crate) fn of(parts: Vec<Vec<CountedCell>>, mut carried: Vec<Carried>) -> Self {
        carried.sort_unstable_by_key(|carried| carried.place);
        let mut cells = by_blocks(parts);
        cells
            .par_chunk_by_mut(|one, other| block_of(one.place) == block_of(other.place))
            .for_each_init(BlockSorter::default, BlockSorter::sort);
        Self { cells, carried }
    }

    /// How many pixels there are.
    pub(crate) fn pixels(&self) -> u64 {
        let counted: u64 = self.cells.iter().map(|cell| u64::from(cell.pixels)).sum();
        counted + self.carried.iter().map(|carried| carried.pixels).sum::<u64>()
    }

    /// All cells, in the order of the lattice.
    pub(crate) fn into_occupied(self) -> Vec<(u32, Cell)> {
        let mut cells: Vec<(u32, Cell)> = self.cells.par_iter().map(CountedCell::widened).collect();
        for Carried { place, colour, pixels } in self.carried {
            if let Ok(found) = self.cells.binary_search_by_key(&place, |cell| cell.place) {
                add(&mut cells[found].1, colour, pixels);
            }
        }
        cells
    }

    /// As [`grouped`](crate::grouping::grouped) of all cells, without ever having them side by side: they
    /// take twice the room of counters.
    pub(crate) fn grouped(&self, lattice: Lattice, for_ink: bool) -> Grouped {
        let is_white = |cell: &&CountedCell| cell.lowest == WHITE;
        let white = self.cells.last().filter(is_white);
        let colours = &self.cells[..self.cells.len() - usize::from(white.is_some())];
        let white = white.and_then(|white| self.groups(slice::from_ref(white)).pop());
        let blocks = colours
            .par_chunk_by(|one, other| block_of(one.place) == block_of(other.place))
            .map(|block| self.groups(block));
        let joining = Joining::new(lattice, self.pixels(), for_ink);
        joining.of_blocks(blocks, white.map(|white| (WHITE_RGB_KEY, white.cell)))
    }

    /// Each of some neighbouring cells by itself, with what was carried.
    fn groups(&self, cells: &[CountedCell]) -> Vec<Group> {
        let group = |cell: &CountedCell| {
            let (key, widened) = cell.widened();
            Group::new(key, cell.place, widened)
        };
        let mut groups: Vec<Group> = cells.iter().map(group).collect();
        let Some(first) = groups.first().map(|group| group.place) else { return groups };
        let from = self.carried.partition_point(|carried| carried.place < first);
        for carried in &self.carried[from..] {
            let Ok(found) = groups.binary_search_by_key(&carried.place, |group| group.place) else {
                // It lies behind the last of them.
                break;
            };
            add(&mut groups[found].cell, carried.colour, carried.pixels);
        }
        groups
    }
}

/// What counters hold of a cell, without what was carried.
#[derive(Clone, Copy, Default)]
pub(crate) struct CountedCell {
    /// That of the lowest colour.
    place: u32,
    lowest: Colour,
    pub(crate) pixels: u32,
    /// How many have the upper level of red, of green and of blue.
    upper: [u32; 3],
}

impl CountedCell {
    pub(crate) fn new(lowest: Colour, pixels: u32, upper: [u32; 3]) -> Self {
        Self { place: interleaved(lowest), lowest, pixels, upper }
    }

    /// The same without so many pixels of its uppermost colour.
    pub(crate) fn without_uppermost(self, pixels: u32) -> Self {
        let upper = self.upper.map(|upper| upper - pixels);
        Self { pixels: self.pixels - pixels, upper, ..self }
    }

    fn widened(&self) -> (u32, Cell) {
        let mut cell = Cell::default();
        add(&mut cell, self.lowest, u64::from(self.pixels));
        for (sum, upper) in cell.sums.iter_mut().zip(self.upper) {
            *sum += u64::from(upper);
        }
        let key = if self.lowest == WHITE { WHITE_RGB_KEY } else { rgb_key(self.lowest) };
        (key, cell)
    }
}

/// Adds pixels of a colour to the cell in which it lies.
fn add(cell: &mut Cell, colour: Colour, pixels: u64) {
    cell.pixels += pixels;
    for (sum, sample) in cell.sums.iter_mut().zip(colour) {
        *sum += pixels * u64::from(sample);
    }
}

/// Shadow cells and white hold one colour each, other cells two levels along each axis.
fn lowest_of_cell(colour: Colour) -> Colour {
    if is_shadow(colour) || colour == WHITE { colour } else { colour.map(|sample| sample & !1) }
}

pub(crate) fn is_shadow([red, green, blue]: Colour) -> bool {
    red | green | blue < SHADOW_CELLS
}

/// All cells, those of a block beside one another: most of the way to their order at the price of
/// touching each twice.
fn by_blocks(parts: Vec<Vec<CountedCell>>) -> Vec<CountedCell> {
    let all = || parts.iter().flatten();
    let mut next = vec![0; BLOCKS];
    all().for_each(|cell| next[block_of(cell.place)] += 1);
    let mut before = 0;
    for count in &mut next {
        before += std::mem::replace(count, before);
    }
    let mut sorted = vec![CountedCell::default(); before];
    for cell in all() {
        let next = &mut next[block_of(cell.place)];
        sorted[*next] = *cell;
        *next += 1;
    }
    sorted
}

/// Sorts the cells of a block by where they lie in it: their places are known, so that none is compared.
struct BlockSorter {
    /// By place in the block: which cell has it, where one does.
    at: Box<[u16; PLACES_OF_BLOCK]>,
    unsorted: Vec<CountedCell>,
}

impl Default for BlockSorter {
    fn default() -> Self {
        Self { at: Box::new([0; PLACES_OF_BLOCK]), unsorted: Vec::new() }
    }
}

impl BlockSorter {
    /// No two cells may have the same place.
    fn sort(&mut self, block: &mut [CountedCell]) {
        self.unsorted.clear();
        self.unsorted.extend_from_slice(block);
        let mut taken = [0_u64; PLACES_OF_BLOCK / u64::BITS as usize];
        for (number, cell) in (0..).zip(block.iter()) {
            let place = cell.place as usize % PLACES_OF_BLOCK;
            self.at[place] = number;
            taken[place / 64] |= 1 << (place % 64);
        }
        let mut sorted = block.iter_mut();
        for (first, mut places) in (0..).step_by(64).zip(taken) {
            while places != 0 {
                let place = first + places.trailing_zeros() as usize;
                if let Some(cell) = sorted.next() {
                    *cell = self.unsorted[usize::from(self.at[place])];
                }
                places &= places - 1;
            }
        }
    }
}
