use std::ops::Range;

use rayon::prelude::*;

use crate::cells::Cell;
use crate::lattice::{Lattice, rgb_place};

/// The colours that stand for a picture.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Grouped {
    /// For ink; each with the key of its lowest cell.
    pub(crate) fine: Vec<(u32, Cell)>,
    /// By fine one: whether it is the first of a wide one. Those are for colour differences, which take far
    /// longer to predict and bend less.
    pub(crate) begins: Vec<bool>,
}

impl Grouped {
    /// Every cell by itself.
    fn single(cells: &[(u32, Cell)]) -> Self {
        Self { fine: cells.to_vec(), begins: vec![true; cells.len()] }
    }
}

/// The wide entries of fine ones, each the sum of its parts.
pub(crate) fn wide_of(fine: &[(u32, Cell)], begins: &[bool]) -> Vec<Cell> {
    let mut wide: Vec<Cell> = Vec::new();
    for ((_, cell), begins) in fine.iter().zip(begins) {
        match wide.last_mut().filter(|_| !begins) {
            Some(wide) => wide.add(cell),
            None => wide.push(*cell),
        }
    }
    wide
}

/// By wide entry: the fine ones that it joins.
pub(crate) fn parts_of(begins: &[bool]) -> Vec<Range<usize>> {
    let starts: Vec<usize> = (0..begins.len()).filter(|place| begins[*place]).collect();
    let ends = starts.iter().skip(1).copied().chain([begins.len()]);
    starts.iter().copied().zip(ends).map(|(start, end)| start..end).collect()
}

/// Joins neighbouring RGB cells where that hardly moves the ink of the picture, and further where it
/// hardly moves its colour differences.
///
/// Ink bends over colour, so that the ink of a mean colour differs from the mean ink of the colours
/// that it stands for: by about half the bend times their variance. Cells are joined, two on a
/// side at a time, as long as the bend times the variance times the share of the picture stays
/// under [`TOLERANCE_OF_INK`], or not at all where `for_ink` says no. So colours that fill a picture
/// keep fine cells, rare ones share wide ones, and the colours that must be separated hardly become
/// more with the picture's pixels. The same goes for differences, under [`TOLERANCE_OF_DIFFERENCES`].
///
/// `pixels` are those of all cells. The result depends on the cells alone and not on how they were counted. White stays by itself
/// and comes last.
pub(crate) fn grouped(
    lattice: Lattice,
    cells: &[(u32, Cell)],
    pixels: u64,
    for_ink: bool,
) -> Grouped {
    let Lattice::Rgb(_) = lattice else {
        return Grouped::single(cells);
    };
    let is_white = |(key, _): &&(u32, Cell)| *key == lattice.white_key();
    let white = cells.last().filter(is_white);
    let colours = &cells[..cells.len() - usize::from(white.is_some())];
    let block = |block: &[(u32, Cell)]| -> Vec<Group> {
        block.iter().map(|&(key, cell)| Group::new(key, rgb_place(key), cell)).collect()
    };
    let blocks = colours
        .par_chunk_by(|one, other| block_of(rgb_place(one.0)) == block_of(rgb_place(other.0)))
        .map(block);
    Joining::new(lattice, pixels, for_ink).of_blocks(blocks, white.copied())
}

/// Places in a widest cube.
pub(crate) const PLACES_OF_BLOCK: usize = 1 << (3 * WIDEST);
/// Widest cubes that there are.
pub(crate) const BLOCKS: usize = (1 << 24) / PLACES_OF_BLOCK;

/// The widest cube in which a place lies.
pub(crate) const fn block_of(place: u32) -> usize {
    (place >> (3 * WIDEST)) as usize
}

/// How the cells of a picture are joined, see [`grouped`].
pub(crate) struct Joining {
    for_ink: Option<Grouping>,
    for_differences: Grouping,
}

impl Joining {
    /// `pixels` are those of all cells.
    pub(crate) fn new(lattice: Lattice, pixels: u64, for_ink: bool) -> Self {
        Self {
            for_ink: for_ink.then(|| Grouping::new(lattice, pixels, TOLERANCE_OF_INK)),
            for_differences: Grouping::new(lattice, pixels, TOLERANCE_OF_DIFFERENCES),
        }
    }

    /// Joins cells, those of a widest cube together and the cubes in the order of their places.
    pub(crate) fn of_blocks(
        &self,
        blocks: impl ParallelIterator<Item = Vec<Group>>,
        white: Option<(u32, Cell)>,
    ) -> Grouped {
        let joined = |block: Vec<Group>| {
            let fine = match &self.for_ink {
                Some(for_ink) => for_ink.of_block(&block),
                None => block,
            };
            let wide = self.for_differences.of_block(&fine);
            let mut firsts = wide.iter().map(|group| group.key).peekable();
            let begins = fine.iter().map(|group| firsts.next_if_eq(&group.key).is_some()).collect();
            Grouped { fine: fine.iter().map(|group| (group.key, group.cell)).collect(), begins }
        };
        let blocks: Vec<Grouped> = blocks.map(joined).collect();
        let mut all = Grouped::default();
        for Grouped { fine, begins } in blocks {
            all.fine.extend(fine);
            all.begins.extend(begins);
        }
        all.begins.extend(white.map(|_| true));
        all.fine.extend(white);
        all
    }
}

/// Sides of the widest cells are 2⁴ levels of 256. Our choice: pictures whose colours are as many
/// as their pixels have some thousand of them.
const WIDEST: u32 = 4;

/// Some cells as one.
#[derive(Clone, Copy)]
pub(crate) struct Group {
    /// The key of its lowest cell.
    key: u32,
    /// The place of its lowest colour: the bits of red, green and blue by turns.
    pub(crate) place: u32,
    pub(crate) cell: Cell,
    /// Sum over the pixels of the squared distance of their cell's mean from the group's, in
    /// squares of full scale.
    spread: f64,
}

impl Group {
    /// A cell by itself.
    pub(crate) const fn new(key: u32, place: u32, cell: Cell) -> Self {
        Self { key, place, cell, spread: 0.0 }
    }
}

/// Whether both lie in the same cube of 2^`side` levels.
const fn same_cube(one: Group, other: Group, side: u32) -> bool {
    one.place >> (3 * side) == other.place >> (3 * side)
}

struct Grouping {
    full_scale: f64,
    /// What the spread of a group times its bend may be.
    most: f64,
}

impl Grouping {
    fn new(lattice: Lattice, pixels: u64, tolerance: f64) -> Self {
        Self { full_scale: real(lattice.full_scale()), most: tolerance * real(pixels) }
    }

    /// The groups of a widest cube, of cells or of narrower groups in the order of their places.
    fn of_block(&self, colours: &[Group]) -> Vec<Group> {
        let mut groups = Vec::new();
        self.add(colours, WIDEST, &mut groups);
        groups
    }

    /// Adds the groups of a cube of 2^`side` levels.
    fn add(&self, colours: &[Group], side: u32, groups: &mut Vec<Group>) {
        // Two in one place are found in stored censuses that no picture gives, and stay apart.
        if side == 0 {
            groups.extend(colours);
            return;
        }
        if let [colour] = colours {
            groups.push(*colour);
            return;
        }
        let first = groups.len();
        let parts = colours.chunk_by(|one, other| same_cube(*one, *other, side - 1));
        let mut undivided = true;
        for part in parts {
            let before = groups.len();
            self.add(part, side - 1, groups);
            undivided &= groups.len() == before + 1;
        }
        if undivided && let Some(joined) = self.joined(&groups[first..]) {
            groups.truncate(first);
            groups.push(joined);
        }
    }

    /// The groups as one, if it may stand for all of them.
    fn joined(&self, groups: &[Group]) -> Option<Group> {
        let Group { key, place, .. } = *groups.first()?;
        let mut cell = Cell::default();
        groups.iter().for_each(|group| cell.add(&group.cell));
        let mean = self.mean(&cell);
        let mut spread = 0.0;
        for group in groups {
            let part = self.mean(&group.cell);
            let squares = mean.iter().zip(part).map(|(mean, part)| (part - mean).powi(2));
            spread += group.spread + real(group.cell.pixels) * squares.sum::<f64>();
        }
        (spread * bend(mean) <= self.most).then_some(Group { key, place, cell, spread })
    }

    /// The mean colour, 0 to 1.
    fn mean(&self, cell: &Cell) -> [f64; 3] {
        let full = real(cell.pixels) * self.full_scale;
        [0, 1, 2].map(|channel| real(cell.sums[channel]) / full)
    }
}

/// What the spread of an entry may be as a share of the picture's pixels, times its [`bend`]. Our
/// choice: over the photographs of the tests and the built-in sets, joined cells are as good as single
/// ones in their worst channel (0.79 and 0.74 of what the accuracy rule allows) and in their totals
/// (0.11 and 0.07 of it, root of the mean square), with less than half the colours. At 10⁻⁸ a
/// light picture's light ink left the rule.
const TOLERANCE_OF_INK: f64 = 4e-9;
/// The same where colours are looked at. Our choice: on photographs, means of ΔE00 stay within 0.005
/// and percentiles within 0.02 of those over single cells, and the area out of gamut within 0.4 % of
/// the picture, with a tenth of the colours. Means alone would miss the largest difference by up to 0.4.
const TOLERANCE_OF_DIFFERENCES: f64 = 1.2e-7;

/// How much more ink bends around a colour than in mid-tones. Our choice: near black, where
/// the print's black is met, and near white, where a light ink sets in on paper that has hardly
/// any, curvature grows as the square of the distance falls.
fn bend([red, green, blue]: [f64; 3]) -> f64 {
    let from_black = red.max(green).max(blue) + NEAREST;
    let from_white = 1.0 - red.min(green).min(blue) + NEAREST;
    1.0 + (SHADOWS / from_black).powi(2) + (LIGHTS / from_white).powi(2)
}

/// Distance from black and from white, in full scales, at which ink bends twice as much.
const SHADOWS: f64 = 0.3;
const LIGHTS: f64 = 0.2;
/// Keeps the bend finite: five levels of 256.
const NEAREST: f64 = 0.02;

#[expect(clippy::cast_precision_loss, reason = "a picture's pixels and sums, rounded once")]
const fn real(count: u64) -> f64 {
    count as f64
}

#[cfg(test)]
mod tests {
    use colour::BitDepth;

    use super::*;

    const LATTICE: Lattice = Lattice::Rgb(BitDepth::Eight);

    fn grouped(cells: &[(u32, Cell)], for_ink: bool) -> Grouped {
        let pixels = cells.iter().map(|(_, cell)| cell.pixels).sum();
        super::grouped(LATTICE, cells, pixels, for_ink)
    }

    /// A cell of one colour outside the shadows, all samples even.
    fn cell([red, green, blue]: [u32; 3], pixels: u64) -> (u32, Cell) {
        let key =
            crate::lattice::FIRST_RGB_KEY + (((red / 2) << 14) | ((green / 2) << 7) | (blue / 2));
        let [red, green, blue] = [red, green, blue].map(|sample| u64::from(sample) * pixels);
        (key, Cell { pixels, sums: [red, green, blue, 0] })
    }

    #[test]
    fn rare_neighbours_share_an_entry_and_frequent_ones_do_not() {
        let common = cell([200, 40, 40], 1 << 30);
        let neighbours = |pixels| [cell([100, 100, 100], pixels), cell([100, 100, 102], pixels)];
        let of = |pixels| {
            let [one, other] = neighbours(pixels);
            grouped(&[one, other, common], true).fine
        };
        assert_eq!(of(1 << 29).len(), 3);
        let few = of(1);
        assert_eq!(few.len(), 2);
        let mut both = neighbours(1)[0].1;
        both.add(&neighbours(1)[1].1);
        assert_eq!(few[0].1, both);
    }

    #[test]
    fn wide_entries_join_fine_ones_and_cells_may_stay_single() {
        let colours = (0..16).flat_map(|red| (0..16).map(move |blue| [2 * red, 128, 2 * blue]));
        let cells: Vec<_> =
            colours.map(|colour| cell(colour, 1)).chain([cell([200; 3], 1 << 20)]).collect();
        let Grouped { fine, begins } = grouped(&cells, false);
        assert_eq!(fine, cells);
        let (wide, parts) = (wide_of(&fine, &begins), parts_of(&begins));
        assert!(wide.len() < cells.len());
        assert_eq!(parts.len(), wide.len());
        for (wide, parts) in wide.iter().zip(parts) {
            let mut sum = Cell::default();
            fine[parts].iter().for_each(|(_, cell)| sum.add(cell));
            assert_eq!(sum, *wide);
        }
    }

    #[test]
    fn no_pixel_is_lost_and_none_is_counted_twice() {
        let colours = (0..32).flat_map(|red| (0..32).map(move |blue| [2 * red, 128, 2 * blue]));
        let cells: Vec<_> = colours.map(|colour| cell(colour, u64::from(colour[0]) + 1)).collect();
        let sum = |cells: &mut dyn Iterator<Item = Cell>| {
            cells.fold(Cell::default(), |mut sum, cell| {
                sum.add(&cell);
                sum
            })
        };
        let Grouped { fine, begins } = grouped(&cells, true);
        let wide = wide_of(&fine, &begins);
        assert!(fine.len() <= cells.len() && wide.len() <= fine.len());
        let of_cells = |cells: &[(u32, Cell)]| sum(&mut cells.iter().map(|(_, cell)| *cell));
        let all = of_cells(&cells);
        assert_eq!([of_cells(&fine), sum(&mut wide.into_iter())], [all; 2]);
    }

    #[test]
    fn white_stays_alone_and_last() {
        let white = (LATTICE.white_key(), Cell { pixels: 1, sums: [255, 255, 255, 0] });
        let cells = [cell([254, 254, 254], 1), white];
        let Grouped { fine, begins } = grouped(&cells, true);
        assert_eq!(fine.last(), Some(&white));
        assert_eq!(wide_of(&fine, &begins).last(), Some(&white.1));
    }
}
