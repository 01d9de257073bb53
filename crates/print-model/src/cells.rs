use colour::BANDS;

use crate::BandAmounts;
use crate::mixing_scale::Bend;

/// The primaries at the nodes of a grid over the families' amounts: mixing goes from node to node
/// in the cell that holds a mixture, band by band.
///
/// With two levels for every family, 0 and full, the grid has one cell, and its nodes are the 2^F
/// overprints of the plain Neugebauer model.
///
/// Source: Heuberger, Jing and Persiev, "Color transformations and lookup tables", TAGA/ISCC
/// Proceedings (1992); Arney, Engeldrum and Zeng, Journal of Imaging Science and Technology 39
/// (1995), from memory.
pub(crate) struct Cells {
    /// By family: its levels in each band, rising from 0 to 1, bent where amounts are.
    levels: Vec<Vec<[f64; BANDS]>>,
    /// The nodes on the scale of mixtures; the first family varies fastest.
    nodes: Vec<[f64; BANDS]>,
    /// Distance between neighbouring nodes of each family.
    strides: Vec<usize>,
    /// By family: what leads from amounts to the scale of mixtures; empty where both are one.
    bends: Vec<Bend>,
    is_one_cell: bool,
}

/// The cell that holds a mixture.
pub(crate) struct Cell {
    /// Its 2^F corners; bit f of the index says whether family f is at its upper level.
    pub(crate) corners: Vec<[f64; BANDS]>,
    /// By family: place between the lower level, 0, and the upper one, 1.
    pub(crate) places: Vec<BandAmounts>,
    /// By family: slope of the place over the amount.
    pub(crate) slopes: Vec<[f64; BANDS]>,
}

/// Levels of a band that are nearer than this count as this far apart, so that no slope is
/// infinite. Our choice: a thousandth of an amount is far below what a chart resolves.
const NARROWEST: f64 = 1e-3;

impl Cells {
    pub(crate) fn new(
        mut levels: Vec<Vec<[f64; BANDS]>>,
        nodes: Vec<[f64; BANDS]>,
        bends: Vec<Bend>,
    ) -> Self {
        for (family, bend) in levels.iter_mut().zip(&bends) {
            // The ends are 0 and 1 on either scale.
            let last = family.len() - 1;
            for level in &mut family[1..last] {
                *level = std::array::from_fn(|band| bend.at(band, level[band]).0);
            }
        }
        let mut strides = Vec::with_capacity(levels.len());
        let mut stride = 1;
        for family in &levels {
            strides.push(stride);
            stride *= family.len();
        }
        let is_one_cell = bends.is_empty() && levels.iter().all(|family| family.len() == 2);
        Self { levels, nodes, strides, bends, is_one_cell }
    }

    /// The nodes, if there is a single cell and its places are the amounts themselves.
    pub(crate) fn single(&self) -> Option<&[[f64; BANDS]]> {
        self.is_one_cell.then_some(&self.nodes[..])
    }

    /// The paper.
    pub(crate) fn first(&self) -> &[f64; BANDS] {
        &self.nodes[0]
    }

    /// Mixes tints on the scale of mixtures.
    pub(crate) fn mixed(&self, tints: &[BandAmounts]) -> [f64; BANDS] {
        match self.single() {
            Some(corners) => folded(tints, corners),
            None => {
                let Cell { corners, places, .. } = self.cell(tints);
                folded(&places, &corners)
            }
        }
    }

    /// Finds the cell of a mixture; it may differ from band to band.
    pub(crate) fn cell(&self, tints: &[BandAmounts]) -> Cell {
        let mut base = [0; BANDS];
        let mut places = vec![BandAmounts::NONE; tints.len()];
        let mut slopes = vec![[0.0; BANDS]; tints.len()];
        for (family, tint) in tints.iter().enumerate() {
            for band in 0..BANDS {
                let (level, place, slope) = self.place(family, band, tint.0[band]);
                base[band] += level * self.strides[family];
                places[family].0[band] = place;
                slopes[family][band] = slope;
            }
        }
        let corners = (0..1_usize << tints.len())
            .map(|corner| {
                let offset: usize = self
                    .strides
                    .iter()
                    .enumerate()
                    .map(|(f, stride)| (corner >> f & 1) * stride)
                    .sum();
                std::array::from_fn(|band| self.nodes[base[band] + offset][band])
            })
            .collect();
        Cell { corners, places, slopes }
    }

    /// The level below an amount, the place above it and the slope of that place.
    fn place(&self, family: usize, band: usize, amount: f64) -> (usize, f64, f64) {
        let levels = &self.levels[family];
        let (amount, slope) =
            self.bends.get(family).map_or((amount, 1.0), |bend| bend.at(band, amount));
        let inner = &levels[1..levels.len() - 1];
        let below = inner.partition_point(|level| level[band] <= amount);
        let (low, high) = (levels[below][band], levels[below + 1][band]);
        let width = (high - low).max(NARROWEST);
        (below, (amount - low) / width, slope / width)
    }
}

/// Folds corners family by family. Families at their lower level leave the corners without them as
/// they are, so that only the corners of the others are touched.
fn folded(places: &[BandAmounts], corners: &[[f64; BANDS]]) -> [f64; BANDS] {
    let mut printing = (0..places.len()).filter(|&family| places[family] != BandAmounts::NONE);
    let Some(last) = printing.next_back() else {
        return corners[0];
    };
    let others: Vec<usize> = printing.collect();
    let mut mixed = vec![[0.0; BANDS]; 1 << others.len()];
    for (subset, mixed) in mixed.iter_mut().enumerate() {
        let present = others.iter().enumerate().filter(|(bit, _)| subset >> bit & 1 == 1);
        let under: usize = present.map(|(_, family)| 1 << family).sum();
        let (low, high) = (&corners[under], &corners[under | 1 << last]);
        for (band, mixed) in mixed.iter_mut().enumerate() {
            *mixed = between(low[band], high[band], places[last].0[band]);
        }
    }
    for (bit, &family) in others.iter().enumerate().rev() {
        let (low, high) = mixed.split_at_mut(1 << bit);
        for (low, high) in low.iter_mut().zip(high) {
            for (band, low) in low.iter_mut().enumerate() {
                *low = between(*low, high[band], places[family].0[band]);
            }
        }
    }
    mixed[0]
}

/// Straight mixture of two corners, band by band.
pub(crate) fn blend(low: &[f64; BANDS], high: &[f64; BANDS], part: &[f64; BANDS]) -> [f64; BANDS] {
    std::array::from_fn(|band| between(low[band], high[band], part[band]))
}

const fn between(low: f64, high: f64, part: f64) -> f64 {
    low + part * (high - low)
}
