use std::collections::BTreeMap;

use colour::{BANDS, Spectrum};
use inkset::{Family, MeasuredPrimary, Substrate};
use units::Coverage;

use crate::cells::Cells;
use crate::family_ramp::FamilyRamp;
use crate::light_bands::LightBands;
use crate::mixing_scale::{Bend, MixingScale};
use crate::solids::{by_band, inner_of};
use crate::{BandAmounts, PrintModelError};

/// Nodes of the grid of primaries. Our choice: three levels of eight families and a few more; ten
/// megabytes.
const MOST_NODES: usize = 40_000;

/// The grid of primaries: every amount at which a family was measured, combined with all amounts of
/// the others.
///
/// Measured patches are used where the substrate has them. Missing solids are predicted by adding
/// Kubelka–Munk ratios; missing patches of partial amounts are mixed from the solids.
pub(crate) fn cells(
    substrate: &Substrate,
    families: &[Family<'_>],
    solids: &[Spectrum],
    ramps: &[&FamilyRamp],
) -> Result<Cells, PrintModelError> {
    let grid = Grid::new(substrate, families)?;
    let light = LightBands(substrate.mixed_bands);
    let paper = light.of(&substrate.white);
    let scale = MixingScale::new(substrate.ramp_law, &paper);
    let places = |spectrum: &Spectrum| scale.places(&light.of(spectrum));
    let bends = || -> Vec<Bend> {
        let bend = |solid: &Spectrum| Bend::new(scale, &paper, &light.of(solid));
        if scale.bends_amounts() { solids.iter().map(bend).collect() } else { Vec::new() }
    };
    let tints: Vec<Vec<[f64; BANDS]>> =
        ramps.iter().zip(&grid.levels).map(|(ramp, levels)| level_tints(ramp, levels)).collect();
    let solid_nodes = grid.solid_nodes(substrate, solids);
    let ends = tints.iter().map(|family| vec![family[0], family[family.len() - 1]]).collect();
    let plain = Cells::new(ends, solid_nodes, bends());
    let mixed = |place: usize| plain.mixed(&grid.tints_at(place, &tints));
    let measured = |place: usize| {
        grid.measured.get(&place).map_or_else(|| mixed(place), |p| places(&p.spectrum))
    };
    let node = |place: usize| {
        if grid.is_known(place) {
            measured(place)
        } else {
            grid.corrected(place, mixed(place), &measured, &mixed)
        }
    };
    let nodes = (0..grid.count).map(node).collect();
    Ok(Cells::new(tints, nodes, bends()))
}

/// The 2^F overprints of solids on the scale of mixtures; bit f of the index says whether family f is
/// present.
pub(crate) fn solid_nodes(
    substrate: &Substrate,
    families: &[Family<'_>],
    solids: &[Spectrum],
) -> Result<Vec<[f64; BANDS]>, PrintModelError> {
    Ok(Grid::new(substrate, families)?.solid_nodes(substrate, solids))
}

/// The amounts at which each family was measured.
struct Grid<'set> {
    /// By family: rising amounts from 0 to 1.
    levels: Vec<Vec<f64>>,
    /// Number of combinations.
    count: usize,
    /// Measured patches by their place; the first family varies fastest.
    measured: BTreeMap<usize, &'set MeasuredPrimary>,
}

impl<'set> Grid<'set> {
    fn new(substrate: &'set Substrate, families: &[Family<'_>]) -> Result<Self, PrintModelError> {
        let patches: Vec<(Vec<f64>, &MeasuredPrimary)> = substrate
            .primaries
            .iter()
            .filter_map(|patch| Some((amounts_of(patch, families)?, patch)))
            .collect();
        let levels: Vec<Vec<f64>> = (0..families.len())
            .map(|family| rising(patches.iter().map(|(amounts, _)| amounts[family])))
            .collect();
        let product = levels.iter().try_fold(1_usize, |all, own| all.checked_mul(own.len()));
        let count = product.unwrap_or(usize::MAX);
        if count > MOST_NODES {
            let substrate = substrate.name.clone();
            return Err(PrintModelError::TooManyCells {
                nodes: count,
                most: MOST_NODES,
                substrate,
            });
        }
        let mut grid = Self { levels, count, measured: BTreeMap::new() };
        for (amounts, patch) in patches {
            grid.measured.insert(grid.place(&amounts), patch);
        }
        Ok(grid)
    }

    fn solid_nodes(&self, substrate: &Substrate, solids: &[Spectrum]) -> Vec<[f64; BANDS]> {
        let light = LightBands(substrate.mixed_bands);
        let scale = MixingScale::new(substrate.ramp_law, &light.of(&substrate.white));
        (0..1_usize << self.levels.len())
            .map(|index| match self.measured.get(&self.solid(index)) {
                Some(patch) => light.of(&patch.spectrum),
                None => light.of(&overprint(substrate, solids, index)),
            })
            .map(|values| scale.places(&values))
            .collect()
    }

    /// The place of a combination of measured amounts.
    fn place(&self, amounts: &[f64]) -> usize {
        let of_family = |(levels, amount): (&Vec<f64>, &f64)| {
            (levels.partition_point(|level| level < amount), levels.len())
        };
        let places = self.levels.iter().zip(amounts).map(of_family);
        places.rev().fold(0, |all, (place, count)| all * count + place)
    }

    /// The place of an overprint of solids; bit f of the index says whether family f is present.
    fn solid(&self, index: usize) -> usize {
        let amounts: Vec<f64> = (0..self.levels.len())
            .map(|family| if index >> family & 1 == 1 { 1.0 } else { 0.0 })
            .collect();
        self.place(&amounts)
    }

    /// Whether a place was measured: as a patch, or as paper or a single solid.
    fn is_known(&self, place: usize) -> bool {
        let mut rest = place;
        let mut inks = 0;
        let mut partial = false;
        for levels in &self.levels {
            let level = rest % levels.len();
            rest /= levels.len();
            inks += usize::from(level > 0);
            partial |= level > 0 && level + 1 < levels.len();
        }
        self.measured.contains_key(&place) || inks < 2 && !partial
    }

    /// Corrects a mixture of solids at a place that nobody measured by what the nearest measured
    /// places along each family show: the ratio of measured to mixed, on the scale of mixtures,
    /// nearer ones counting more.
    fn corrected(
        &self,
        place: usize,
        own: [f64; BANDS],
        measured: &dyn Fn(usize) -> [f64; BANDS],
        mixed: &dyn Fn(usize) -> [f64; BANDS],
    ) -> [f64; BANDS] {
        let mut sums = [0.0; BANDS];
        let mut weights = 0.0;
        for (other, distance) in self.nearest_known(place) {
            weights += 1.0 / distance;
            for ((sum, there), mixed) in sums.iter_mut().zip(measured(other)).zip(mixed(other)) {
                *sum += there / mixed.max(f64::MIN_POSITIVE) / distance;
            }
        }
        if weights == 0.0 {
            return own;
        }
        std::array::from_fn(|band| own[band] * sums[band] / weights)
    }

    /// Along each family, in both directions, the nearest known place and how far it is.
    fn nearest_known(&self, place: usize) -> Vec<(usize, f64)> {
        let mut nearest = Vec::new();
        let mut stride = 1;
        for levels in &self.levels {
            let own = place / stride % levels.len();
            let at = |level: usize| place - own * stride + level * stride;
            let found = |level: &usize| self.is_known(at(*level));
            let ends = [(0..own).rev().find(found), (own + 1..levels.len()).find(found)];
            let distance = |level: usize| (levels[level] - levels[own]).abs();
            nearest.extend(ends.into_iter().flatten().map(|level| (at(level), distance(level))));
            stride *= levels.len();
        }
        nearest
    }

    fn tints_at(&self, place: usize, tints: &[Vec<[f64; BANDS]>]) -> Vec<BandAmounts> {
        let mut rest = place;
        tints
            .iter()
            .map(|levels| {
                let level = rest % levels.len();
                rest /= levels.len();
                BandAmounts(levels[level])
            })
            .collect()
    }
}

/// 0, 1 and the amounts between them, each once.
fn rising(amounts: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut levels: Vec<f64> = amounts.chain([0.0, 1.0]).collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup();
    levels
}

/// Tints of the full-strength ink. The ends are 0 and 1 by definition, also where rounding or a
/// light ink would leave them beside.
fn level_tints(ramp: &FamilyRamp, levels: &[f64]) -> Vec<[f64; BANDS]> {
    levels
        .iter()
        .map(|&amount| match amount {
            0.0 => [0.0; BANDS],
            1.0 => [1.0; BANDS],
            partial => {
                let coverage = Coverage::from_fraction(partial).unwrap_or(Coverage::MAX);
                ramp.full_strength_tint(coverage).0
            }
        })
        .collect()
}

/// Predicts one overprint of the families' solids: later ones count times the trapping, in the
/// device's order.
fn overprint(substrate: &Substrate, solids: &[Spectrum], index: usize) -> Spectrum {
    let present: Vec<&Spectrum> = solids
        .iter()
        .enumerate()
        .filter(|(family, _)| index >> family & 1 == 1)
        .map(|(_, solid)| solid)
        .collect();
    match present[..] {
        [] => substrate.white,
        [alone] => *alone,
        [first, ref later @ ..] => by_band(|band| {
            let inner = inner_of(substrate, band);
            let over: f64 = later.iter().map(|solid| inner.ratio(solid.bands()[band])).sum();
            let under = inner.ratio(first.bands()[band]);
            inner.reflectance(under + substrate.trapping.to_fraction() * over)
        }),
    }
}

/// The amount of each family in a measured patch; `None` when it uses a family that the substrate
/// idles.
fn amounts_of(measured: &MeasuredPrimary, families: &[Family<'_>]) -> Option<Vec<f64>> {
    let mut amounts = vec![0.0; families.len()];
    for (name, amount) in &measured.amounts {
        match families.iter().position(|family| family.name == name) {
            Some(place) => amounts[place] = amount.to_fraction(),
            None if amount.to_fraction() == 0.0 => {}
            None => return None,
        }
    }
    Some(amounts)
}
