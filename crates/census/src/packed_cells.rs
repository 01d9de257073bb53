use std::collections::BTreeMap;

use colour::BitDepth;
use rayon::prelude::*;

use crate::cells::{Cell, MOST_CHANNELS};
use crate::large_pages::LargePages;
use crate::lattice::{FIRST_RGB_KEY, Lattice, RGB_BITS, RGB_PLACES, SHADOW_CELLS, SHADOW_PLACES};

/// The cells of 8-bit RGB while they are counted: 19 MB, where cells with sums of their own take 75
/// and a counter for each of the 2²⁴ colours takes 67.
///
/// A cell of two levels along each axis packs four numbers of 16 bits: its pixels, and how many of
/// them have the upper level of red, of green and of blue. A pixel adds one number to them. Cells
/// whose pixels fill the 16 bits are emptied into sums of their own.
pub(crate) struct PackedCells {
    /// By key, white last.
    cells: LargePages,
    emptied: BTreeMap<u32, Levels>,
}

/// A cell's pixels, and how many have the upper level of red, of green and of blue.
type Levels = [u64; 4];

const WHITE: usize = FIRST_RGB_KEY as usize + (1 << (3 * RGB_BITS));
const CELLS: usize = WHITE + 1;
/// Bits of each number of a cell.
const PART: u32 = 16;
const FULL: u64 = (1 << PART) - 1;

impl PackedCells {
    pub(crate) fn new() -> Self {
        Self { cells: LargePages::zeros(CELLS), emptied: BTreeMap::new() }
    }

    /// Counts opaque pixels of three samples each.
    pub(crate) fn count(&mut self, samples: &[u8]) {
        let Self { cells, emptied } = self;
        // A length that is known beforehand spares a check for each pixel.
        let Some(cells) = cells.all_mut().first_chunk_mut::<CELLS>() else { return };
        for colour in samples.as_chunks::<3>().0 {
            let (key, pixel) = key_and_pixel(colour.map(usize::from));
            let cell = &mut cells[key];
            *cell += pixel;
            if *cell & FULL == FULL {
                empty(key, cell, emptied);
            }
        }
    }

    /// The cells that several have counted and that hold pixels, by rising key; white comes last.
    pub(crate) fn occupied(counters: &[Self]) -> Vec<(u32, Cell)> {
        let slices = (0..CELLS).into_par_iter().step_by(KEYS_AT_ONCE);
        let keys: Vec<Vec<usize>> = slices
            .map(|first| {
                let keys = first..CELLS.min(first + KEYS_AT_ONCE);
                let holds = |counter: &Self, key: usize| {
                    counter.cells.all()[key] != 0 || counter.emptied.contains_key(&key_of(key))
                };
                keys.filter(|key| counters.iter().any(|counter| holds(counter, *key))).collect()
            })
            .collect();
        // Of a length that is known beforehand, the list is written once and not moved as it grows.
        keys.concat().into_par_iter().map(|key| cell(counters, key)).collect()
    }
}

/// Cells of one piece of work: enough to outweigh handing it out.
const KEYS_AT_ONCE: usize = 1 << 15;

/// The key of a colour's cell, and what one pixel adds to it. Shadow cells and white hold one colour.
fn key_and_pixel([red, green, blue]: [usize; 3]) -> (usize, u64) {
    let shadow = red << SHADOW_PLACES[0] | green << SHADOW_PLACES[1] | blue << SHADOW_PLACES[2];
    let other = (red >> 1) << RGB_PLACES[0] | (green >> 1) << RGB_PLACES[1] | (blue >> 1);
    let upper = (red & 1) << 2 | (green & 1) << 1 | (blue & 1);
    // Chosen without branches, which colours of a picture would mislead.
    let is_shadow = (red | green | blue) < SHADOW_CELLS;
    let is_white = red & green & blue == usize::from(u8::MAX);
    let key = if is_shadow { shadow } else { FIRST_RGB_KEY as usize + other };
    let key = if is_white { WHITE } else { key };
    (key, PIXELS[if is_shadow || is_white { 0 } else { upper }])
}

/// What a pixel adds to a cell; bits 4, 2 and 1 of the place say whether it has the upper level of red,
/// green and blue.
const PIXELS: [u64; 8] = {
    let mut pixels = [1; 8];
    let mut place = 0;
    while place < pixels.len() {
        let [red, green, blue] =
            [(place >> 2 & 1) as u64, (place >> 1 & 1) as u64, (place & 1) as u64];
        pixels[place] |= red << PART | green << (2 * PART) | blue << (3 * PART);
        place += 1;
    }
    pixels
};

#[cold]
fn empty(key: usize, cell: &mut u64, emptied: &mut BTreeMap<u32, Levels>) {
    let levels = emptied.entry(key_of(key)).or_default();
    add(levels, std::mem::take(cell));
}

fn add(levels: &mut Levels, cell: u64) {
    for (part, level) in (0..).zip(levels) {
        *level += cell >> (part * PART) & FULL;
    }
}

fn cell(counters: &[PackedCells], key: usize) -> (u32, Cell) {
    let mut levels = Levels::default();
    let place = key;
    let key = key_of(place);
    for PackedCells { cells, emptied } in counters {
        add(&mut levels, cells.all()[place]);
        if let Some(more) = emptied.get(&key) {
            levels.iter_mut().zip(more).for_each(|(level, more)| *level += more);
        }
    }
    let [pixels, upper @ ..] = levels;
    let mut sums = [0; MOST_CHANNELS];
    for (channel, (sum, upper)) in sums.iter_mut().zip(upper).enumerate() {
        *sum = pixels * Lattice::Rgb(BitDepth::Eight).bounds(key, channel).0 + upper;
    }
    (key, Cell { pixels, sums })
}

#[expect(clippy::cast_possible_truncation, reason = "there are far fewer than 2^32 cells")]
const fn key_of(key: usize) -> u32 {
    key as u32
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::cells::CellGrid;

    fn packed(samples: &[u8]) -> PackedCells {
        let mut cells = PackedCells::new();
        cells.count(samples);
        cells
    }

    fn grid(samples: &[u8]) -> Vec<(u32, Cell)> {
        let mut grid = CellGrid::new(Lattice::Rgb(BitDepth::Eight));
        grid.count(samples);
        grid.into_occupied()
    }

    #[test]
    fn every_colour_is_counted_as_by_cells_with_sums() {
        // Every fifth level meets shadows, white, and both levels of cells.
        let levels = || (0..=255).step_by(5);
        let samples: Vec<u8> = levels()
            .flat_map(|red| {
                levels().flat_map(move |green| levels().map(move |blue| [red, green, blue]))
            })
            .flatten()
            .collect();
        assert_eq!(PackedCells::occupied(&[packed(&samples)]), grid(&samples));
    }

    #[test]
    fn a_cell_may_hold_more_pixels_than_sixteen_bits_count() {
        let samples = [[200, 101, 60], [201, 100, 61], [255; 3], [3; 3]].concat().repeat(70_000);
        let counters = [packed(&samples), packed(&samples[..30])];
        let all = [&samples[..], &samples[..30]].concat();
        assert_eq!(PackedCells::occupied(&counters), grid(&all));
    }

    proptest! {
        // Each case clears three lists of all cells.
        #![proptest_config(ProptestConfig::with_cases(16))]

        #[test]
        fn any_colours_are_counted_as_by_cells_with_sums(
            samples in proptest::collection::vec(any::<u8>(), 0..300),
        ) {
            let (one, other) = samples.split_at(samples.len() / 6 * 3);
            let counters = [one, other].map(packed);
            prop_assert_eq!(PackedCells::occupied(&counters), grid(&samples));
        }
    }
}
