use colour::BitDepth;
use rayon::prelude::*;

use crate::cells::Cell;
use crate::lattice::{FIRST_RGB_KEY, Lattice, RGB_PLACES, SHADOW_PLACES};
use crate::place_bits::interleaved;

/// How many pixels have each of the 2²⁴ colours of 8-bit RGB: 64 MiB of address space, of which a
/// picture touches what it has colours for.
///
/// A pixel costs one increment. Counters of like colours lie together, because the bits of red,
/// green and blue take turns in a counter's place: the eight colours of a cell fill 32 bytes, and
/// a page of memory holds 8 × 8 × 16 levels. With red in the highest bits and blue in the lowest, as
/// one would write it first, counters miss the caches and the address translation; that was
/// measured at 190 to 430 MP/s on 24-megapixel pictures, and adding to cells of their own sums at
/// 360 to 590.
pub(crate) struct ExactCounts {
    counts: Box<[u32; COLOURS]>,
    /// By block of 16 × 16 × 16 colours: whether one has been met, so that nobody need look
    /// through counters that were never touched.
    met: Box<[bool; BLOCKS]>,
    /// Pixels counted, at most [`u32::MAX`], so that no counter overflows.
    pixels: u64,
}

const COLOURS: usize = 1 << 24;
const MASK: usize = COLOURS - 1;
/// Blocks of colours that share the four highest bits of each sample.
const BLOCKS: usize = 1 << 12;
/// Blocks along an axis.
const ACROSS: u8 = 16;

/// Place of a colour's counter.
fn place(colour: [u8; 3]) -> usize {
    interleaved(colour) as usize & MASK
}

impl ExactCounts {
    pub(crate) fn new() -> Self {
        let zeros = vec![0; COLOURS].into_boxed_slice();
        // The length is the one that is asked for.
        let counts = zeros.try_into().unwrap_or_else(|_| Box::new([0; COLOURS]));
        Self { counts, met: Box::new([false; BLOCKS]), pixels: 0 }
    }

    /// Whether so many more pixels can be counted.
    pub(crate) const fn has_room_for(&self, pixels: usize) -> bool {
        self.pixels + pixels as u64 <= u32::MAX as u64
    }

    /// Counts opaque pixels of three samples each; see [`Self::has_room_for`].
    pub(crate) fn count(&mut self, samples: &[u8]) {
        let pixels = samples.as_chunks::<3>().0;
        self.pixels += pixels.len() as u64;
        for colour in pixels {
            let place = place(*colour);
            self.counts[place] += 1;
            self.met[place / BLOCKS] = true;
        }
    }
}

/// Levels of a sample in shadows, and cells of two levels each on an axis.
const SHADOW_LEVELS: u8 = 64;
const CELLS: u8 = 128;

/// The cells of the colours that several have counted, by rising key; white comes last.
pub(crate) fn folded(counts: &[ExactCounts]) -> Vec<(u32, Cell)> {
    let met = Met::of(counts);
    let shadows = (0..SHADOW_LEVELS).into_par_iter().map(|red| of_shadows(counts, &met, red));
    let others = (0..CELLS).into_par_iter().map(|red| of_others(counts, &met, red));
    let slices: Vec<Vec<(u32, Cell)>> = shadows.chain(others).collect();
    let mut cells = Vec::with_capacity(slices.iter().map(Vec::len).sum::<usize>() + 1);
    // Each slice is given back when its cells have been taken.
    slices.into_iter().for_each(|slice| cells.extend(slice));
    cells.extend(white(counts));
    cells
}

/// Shadow cells of one level of red: each holds one colour.
fn of_shadows(counts: &[ExactCounts], met: &Met, red: u8) -> Vec<(u32, Cell)> {
    let mut cells = Vec::new();
    for (green, blue) in met.pairs(red, SHADOW_LEVELS, 1) {
        let colour = [red, green, blue];
        let pixels = counted(counts, colour);
        if pixels > 0 {
            let [red, green, blue] = colour.map(|sample| u64::from(sample) * pixels);
            cells.push((key(colour, SHADOW_PLACES), Cell { pixels, sums: [red, green, blue, 0] }));
        }
    }
    cells
}

/// Cells of two levels of red that are no shadows.
fn of_others(counts: &[ExactCounts], met: &Met, red: u8) -> Vec<(u32, Cell)> {
    let mut cells = Vec::new();
    for (green, blue) in met.pairs(red, CELLS, 2) {
        // All three lie in the lowest quarter when their bits together do.
        if red | green | blue < SHADOW_LEVELS / 2 {
            continue;
        }
        let cell = cell(counts, [red, green, blue]);
        if cell.pixels > 0 {
            cells.push((FIRST_RGB_KEY + key([red, green, blue], RGB_PLACES), cell));
        }
    }
    cells
}

/// The eight colours of a cell together, white left out.
fn cell(counts: &[ExactCounts], cell: [u8; 3]) -> Cell {
    let low = cell.map(|place| 2 * place);
    let first = place(low);
    let mut of_colour = [0_u64; 8];
    for one in counts {
        for (sum, counter) in of_colour.iter_mut().zip(&one.counts[first..]) {
            *sum += u64::from(*counter);
        }
    }
    if first + of_colour.len() == COLOURS {
        of_colour[7] = 0;
    }
    let pixels: u64 = of_colour.iter().sum();
    if pixels == 0 {
        return Cell::default();
    }
    // The upper level of red has the bit 4 of its place set, that of green 2 and that of blue 1.
    let upper = |bit: usize| (0..8).filter(|at| at & bit != 0).map(|at| of_colour[at]).sum::<u64>();
    let sum = |low: u8, bit: usize| u64::from(low) * pixels + upper(bit);
    Cell { pixels, sums: [sum(low[0], 4), sum(low[1], 2), sum(low[2], 1), 0] }
}

fn white(counts: &[ExactCounts]) -> Option<(u32, Cell)> {
    let pixels = counted(counts, [u8::MAX; 3]);
    let sum = u64::from(u8::MAX) * pixels;
    let key = Lattice::Rgb(BitDepth::Eight).white_key();
    (pixels > 0).then_some((key, Cell { pixels, sums: [sum, sum, sum, 0] }))
}

fn counted(counts: &[ExactCounts], colour: [u8; 3]) -> u64 {
    let place = place(colour);
    counts.iter().map(|one| u64::from(one.counts[place])).sum()
}

fn key(cell: [u8; 3], places: [u32; 3]) -> u32 {
    let [red, green, blue] = cell.map(u32::from);
    red << places[0] | green << places[1] | blue << places[2]
}

/// The blocks that any of several counters has met.
struct Met([bool; BLOCKS]);

impl Met {
    fn of(counts: &[ExactCounts]) -> Self {
        Self(std::array::from_fn(|block| counts.iter().any(|one| one.met[block])))
    }

    /// Green and blue of the cells, so many on a side of so many levels each, that lie with this
    /// red in blocks that have been met; blue changes first.
    fn pairs(&self, red: u8, cells: u8, levels: u8) -> impl Iterator<Item = (u8, u8)> {
        let in_block = ACROSS / levels;
        let met = move |green: u8, block: u8| {
            let corner = [red / in_block, green / in_block, block].map(|block| block * ACROSS);
            self.0[place(corner) / BLOCKS]
        };
        (0..cells).flat_map(move |green| {
            let blocks = (0..cells / in_block).filter(move |block| met(green, *block));
            blocks.flat_map(move |block| {
                (0..in_block).map(move |blue| (green, block * in_block + blue))
            })
        })
    }
}
