use rayon::prelude::*;

use crate::counted_cells::{Carried, Colour, CountedCell, CountedCells, WHITE, is_shadow};
use crate::key_hasher::KeyMap;
use crate::mapped_bytes::{MappedBytes, Pages};

/// A counter of 16 bits for each of the 2²⁴ colours of 8-bit RGB: 16 MB of low bytes, and of as many high
/// bytes those pages that hold any, for few colours of a picture have many pixels.
///
/// Counters stand by how far red and blue are from green, and then by green. Neighbouring pixels of a
/// picture differ in lightness more than in hue, so that they fall on few lines of memory: counting
/// takes two thirds of the time that it takes with counters in the order of red, green and blue.
pub(crate) struct ByteCounters {
    /// By [`slot_of`].
    low: MappedBytes,
    /// Likewise.
    high: MappedBytes,
    /// By page of the high bytes: whether it was written to. Others are not read either, for reading
    /// them would cost a fault of the page, too.
    written: Vec<bool>,
    /// By slot: pixels of counters that were full. Such a counter holds 256 at least.
    carried: KeyMap<u64>,
}

const COLOURS: usize = 1 << 24;
/// Levels of a sample.
const LEVELS: usize = 256;
/// High bytes of a page: as many as most systems have in one.
const PAGE: usize = 1 << 12;
/// Pixels that are carried from a full counter, so that it is left with 256.
const CARRIED: u64 = 0xff00;

impl ByteCounters {
    pub(crate) fn new() -> Self {
        let low = MappedBytes::zeros(COLOURS, Pages::Large);
        let high = MappedBytes::zeros(COLOURS, Pages::Small);
        Self { low, high, written: vec![false; COLOURS / PAGE], carried: KeyMap::default() }
    }

    /// Counts opaque pixels of three samples each.
    pub(crate) fn count(&mut self, samples: &[u8]) {
        let Self { low, high, written, carried } = self;
        // A length that is known beforehand spares a check for each pixel.
        let (low, high) = (low.all_mut(), high.all_mut());
        let Some(low) = low.first_chunk_mut::<COLOURS>() else { return };
        for colour in samples.as_chunks::<3>().0 {
            let slot = slot_of(*colour);
            let counter = &mut low[slot as usize];
            *counter = counter.wrapping_add(1);
            if *counter == 0 {
                written[slot as usize / PAGE] = true;
                carry(slot, &mut high[slot as usize], carried);
            }
        }
    }

    /// What some have counted together.
    pub(crate) fn together(all: Vec<Self>) -> CountedCells {
        let layers = (0..=u8::MAX).into_par_iter().step_by(2);
        let counted = layers.map(|red| counted_in_layers(&all, red)).collect();
        let carried = all.into_iter().flat_map(|counters| counters.carried);
        let carried = carried.map(|(slot, pixels)| Carried::new(colour_at(slot), pixels));
        CountedCells::of(counted, carried.collect())
    }

    fn of(&self, colour: Colour) -> u32 {
        let slot = slot_of(colour) as usize;
        let high = if self.written[slot / PAGE] { self.high.all()[slot] } else { 0 };
        widened(self.low.all()[slot], high)
    }

    /// Whether the four rows of two distances each from green hold nothing.
    fn are_empty(&self, red: u8, blue: u8) -> bool {
        let is_empty = |rows: &[u8]| rows.iter().fold(0, |any, counter| any | counter) == 0;
        [red, red + 1].into_iter().all(|red| {
            let first = slot(red, blue, 0) as usize;
            let rows = first..first + 2 * LEVELS;
            let is_low = !self.written[first / PAGE];
            is_empty(&self.low.all()[rows.clone()]) && (is_low || is_empty(&self.high.all()[rows]))
        })
    }

    /// The counters of all greens beside one distance of red from green and one of blue.
    fn row(&self, red: u8, blue: u8) -> Row<'_> {
        let first = slot(red, blue, 0) as usize;
        let high = if self.written[first / PAGE] { row_of(self.high.all(), first) } else { &NONE };
        Row { low: row_of(self.low.all(), first), high }
    }
}

fn row_of(bytes: &[u8], first: usize) -> &[u8; LEVELS] {
    bytes[first..].first_chunk().unwrap_or(&NONE)
}

static NONE: [u8; LEVELS] = [0; LEVELS];

/// Counters of all greens, by their bytes.
#[derive(Clone, Copy)]
struct Row<'a> {
    low: &'a [u8; LEVELS],
    high: &'a [u8; LEVELS],
}

impl Row<'_> {
    fn at(self, green: usize) -> u32 {
        widened(self.low[green], self.high[green])
    }
}

/// Where the counter of a colour stands. Distances are from the even green, so that the lowest bits are
/// those of the samples, and the two levels of a cell are neighbours along each axis.
const fn slot_of([red, green, blue]: Colour) -> u32 {
    let even = green & !1;
    slot(red.wrapping_sub(even), blue.wrapping_sub(even), green)
}

const fn slot(red_from_green: u8, blue_from_green: u8, green: u8) -> u32 {
    u32::from_be_bytes([0, red_from_green, blue_from_green, green])
}

const fn colour_at(slot: u32) -> Colour {
    let [_, red, blue, green] = slot.to_be_bytes();
    let even = green & !1;
    [red.wrapping_add(even), green, blue.wrapping_add(even)]
}

fn widened(low: u8, high: u8) -> u32 {
    u32::from(high) << u8::BITS | u32::from(low)
}

/// Carries what a low byte can't hold.
#[cold]
fn carry(slot: u32, high: &mut u8, carried: &mut KeyMap<u64>) {
    *high = high.wrapping_add(1);
    if *high == 0 {
        *high = 1;
        *carried.entry(slot).or_default() += CARRIED;
    }
}

/// The cells in the layer of an even distance of red from green and in the one above it.
fn counted_in_layers(all: &[ByteCounters], red: u8) -> Vec<CountedCell> {
    let mut cells = Vec::new();
    for blue in (0..=u8::MAX).step_by(2) {
        if all.iter().all(|counters| counters.are_empty(red, blue)) {
            continue;
        }
        let rows = FourRows::of(all, red, blue);
        for green in (0..=u8::MAX).step_by(2) {
            let lowest = colour_at(slot(red, blue, green));
            if rows.pixels(green) == 0 {
                continue;
            }
            if is_shadow(lowest) {
                cells.extend(shadow_cells(all, lowest));
            } else if lowest == BESIDE_WHITE {
                cells.extend(without_white(all, rows.cell(lowest, green)));
            } else {
                cells.push(rows.cell(lowest, green));
            }
        }
    }
    cells
}

/// The lowest colour of the cell in which white would lie.
const BESIDE_WHITE: Colour = [u8::MAX - 1; 3];

/// The occupied ones of the eight cells of two levels along each axis.
fn shadow_cells(all: &[ByteCounters], lowest: Colour) -> impl Iterator<Item = CountedCell> {
    let [red, green, blue] = lowest;
    let upper = (0..8).map(|bits: u8| [bits >> 2, bits >> 1 & 1, bits & 1]);
    let colours = upper.map(move |upper| [red + upper[0], green + upper[1], blue + upper[2]]);
    colours.map(|colour| of_one_colour(all, colour)).filter(|cell| cell.pixels > 0)
}

fn of_one_colour(all: &[ByteCounters], colour: Colour) -> CountedCell {
    let pixels = all.iter().map(|counters| counters.of(colour)).sum();
    CountedCell::new(colour, pixels, [0; 3])
}

/// The cell in which white was added up, and white by itself, as far as they are occupied.
fn without_white(all: &[ByteCounters], cell: CountedCell) -> impl Iterator<Item = CountedCell> {
    let white = of_one_colour(all, WHITE);
    [cell.without_uppermost(white.pixels), white].into_iter().filter(|cell| cell.pixels > 0)
}

/// The counters of all greens beside two distances of red from green and two of blue, added up. Few
/// count beside one another, so that 32 bits hold the sums.
struct FourRows {
    pixels: [u32; LEVELS],
    upper_red: [u32; LEVELS],
    upper_blue: [u32; LEVELS],
}

impl FourRows {
    fn of(all: &[ByteCounters], red: u8, blue: u8) -> Self {
        let none = [0; LEVELS];
        let mut rows = Self { pixels: none, upper_red: none, upper_blue: none };
        for counters in all {
            let places = [(red, blue), (red, blue + 1), (red + 1, blue), (red + 1, blue + 1)];
            let four = places.map(|(red, blue)| counters.row(red, blue));
            for green in 0..LEVELS {
                let [neither, blue, red, both] = four.map(|row| row.at(green));
                rows.pixels[green] += neither + blue + red + both;
                rows.upper_red[green] += red + both;
                rows.upper_blue[green] += blue + both;
            }
        }
        rows
    }

    /// The pixels of an even green and the one above it.
    fn pixels(&self, green: u8) -> u32 {
        of_two_greens(&self.pixels, green)
    }

    fn cell(&self, lowest: Colour, green: u8) -> CountedCell {
        let upper_green = self.pixels[usize::from(green) + 1];
        let [upper_red, upper_blue] =
            [&self.upper_red, &self.upper_blue].map(|row| of_two_greens(row, green));
        CountedCell::new(lowest, self.pixels(green), [upper_red, upper_green, upper_blue])
    }
}

fn of_two_greens(row: &[u32; LEVELS], green: u8) -> u32 {
    row[usize::from(green)] + row[usize::from(green) + 1]
}

#[cfg(test)]
mod tests {
    use colour::BitDepth;
    use proptest::prelude::*;

    use super::*;
    use crate::cells::{Cell, CellGrid};
    use crate::grouping::grouped;
    use crate::lattice::Lattice;

    fn counted(samples: &[u8]) -> ByteCounters {
        let mut counters = ByteCounters::new();
        counters.count(samples);
        counters
    }

    fn occupied(all: Vec<ByteCounters>) -> Vec<(u32, Cell)> {
        ByteCounters::together(all).into_occupied()
    }

    fn grid(samples: &[u8]) -> Vec<(u32, Cell)> {
        let mut grid = CellGrid::new(Lattice::Rgb(BitDepth::Eight));
        grid.count(samples);
        grid.into_occupied()
    }

    #[test]
    fn every_colour_has_a_slot_of_its_own() {
        let mut taken = vec![false; COLOURS];
        for [red, green] in (0..=u16::MAX).map(u16::to_be_bytes) {
            for colour in (0..=u8::MAX).map(|blue| [red, green, blue]) {
                assert_eq!(colour_at(slot_of(colour)), colour);
                assert!(!std::mem::replace(&mut taken[slot_of(colour) as usize], true));
            }
        }
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
        assert_eq!(occupied(vec![counted(&samples)]), grid(&samples));
    }

    #[test]
    fn a_colour_may_have_more_pixels_than_its_counter_holds() {
        for times in [255, 256, 257, 512, 65_535, 65_536, 140_000] {
            let colours =
                [[200, 101, 60], [201, 100, 61], [255; 3], [254; 3], [255, 254, 255], [3; 3]];
            let samples = colours.concat().repeat(times);
            let counters = [counted(&samples), counted(&samples[..30])];
            let all = [&samples[..], &samples[..30]].concat();
            assert_eq!(occupied(counters.into()), grid(&all), "{times} times");
        }
    }

    #[test]
    fn cells_are_joined_at_once_as_they_are_side_by_side() {
        let lattice = Lattice::Rgb(BitDepth::Eight);
        // Neighbours, some of them frequent, shadows, and white.
        let often = [[200, 101, 60], [0, 1, 0], [255; 3]].concat().repeat(140_000);
        let rare =
            (0..=255).flat_map(|red| (0..64).map(move |blue| [red, 100, 2 * blue + red % 2]));
        let samples = [often, rare.flatten().collect()].concat();
        for for_ink in [false, true] {
            let cells = ByteCounters::together(vec![counted(&samples), counted(&samples[..300])]);
            let pixels = cells.pixels();
            assert_eq!(pixels, (samples.len() as u64 + 300) / 3);
            let joined = cells.grouped(lattice, for_ink);
            let side_by_side = cells.into_occupied();
            assert_eq!(joined, grouped(lattice, &side_by_side, pixels, for_ink));
            assert_eq!(joined.fine.len() < side_by_side.len(), for_ink);
        }
    }

    proptest! {
        // Each case clears three lists of all colours or cells.
        #![proptest_config(ProptestConfig::with_cases(16))]

        #[test]
        fn any_colours_are_counted_as_by_cells_with_sums(
            samples in proptest::collection::vec(any::<u8>(), 0..300),
        ) {
            let (one, other) = samples.split_at(samples.len() / 6 * 3);
            let counters = [one, other].map(counted);
            prop_assert_eq!(occupied(counters.into()), grid(&samples));
        }
    }
}
