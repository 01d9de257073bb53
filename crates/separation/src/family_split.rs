use print_model::PrintModel;
use units::Coverage;

use crate::tone_ramp::{MAX_STRENGTHS, Split, ToneRamp};

/// How one family's amount is shared among its inks, tabulated.
///
/// The amount is the *tone*: the share of the way from paper to the full-strength solid, in the
/// compressed reflectance where the family absorbs. Without light inks it is the coverage of the
/// one ink where the ramp law is Yule–Nielsen's.
///
/// With light inks the same tone can be had from little of them or from much: the *reach*, 0 to
/// 1, moves the coverage at which a light ink hands over to the next. Half is the set's
/// crossover. At 1 light inks first cover the paper, which gives the purest colour, because a
/// closed film of light ink is more saturated than dots of a dark one; at 0 the full-strength ink
/// prints alone, which takes the least ink.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct FamilySplit {
    /// Channels, lightest first.
    pub(crate) channels: Vec<usize>,
    /// Coverages of the inks, node by node over the amount, slice by slice over the reach; a
    /// single slice without light inks.
    nodes: Vec<StoredSplit>,
}

/// A split as tables keep it: single precision is finer than any drop.
pub(crate) type StoredSplit = [f32; MAX_STRENGTHS];

/// Intervals over the amount 0 to 1. Our choice: they keep the error of straight interpolation
/// in any band under 10⁻⁴.
pub(crate) const AMOUNT_INTERVALS: usize = 256;
/// Intervals over the reach. Between slices the tone is not kept exactly, because crossovers
/// move: with 4 intervals a mid-grey was off by ΔL* 1.8, with 16 by 0.3 at most.
pub(crate) const REACH_INTERVALS: usize = 16;
const AMOUNT_SCALE: f64 = 256.0;
const REACH_SCALE: f64 = 16.0;
/// Nodes of one slice.
const SLICE: usize = AMOUNT_INTERVALS + 1;

/// A place in a table of slices.
#[derive(Clone, Copy)]
pub(crate) struct Place {
    /// Index of the node below in amount and reach.
    node: usize,
    /// Index of the same amount in the slice above; the same slice without light inks.
    above: usize,
    amount_part: f64,
    reach_part: f64,
}

impl FamilySplit {
    /// Tabulates a family. `crossover` gives the coverage at which each ink but the last hands
    /// over at half the reach, lightest first.
    pub(crate) fn new(model: &PrintModel, family: usize, crossover: &[Coverage]) -> Self {
        let channels = model.family_channels(family).to_vec();
        let steps = if channels.len() > 1 { REACH_INTERVALS } else { 0 };
        let nodes = (0..=steps)
            .flat_map(|step| {
                let reach = if steps == 0 { 0.0 } else { fraction(step, steps) };
                let ramp = ToneRamp::new(model, family, crossover, reach);
                (0..SLICE).map(move |node| stored(ramp.split(fraction(node, AMOUNT_INTERVALS))))
            })
            .collect();
        Self { channels, nodes }
    }

    /// Takes up a table of stored coverages; `None` if it is not of the right size.
    pub(crate) fn from_nodes(channels: Vec<usize>, nodes: Vec<StoredSplit>) -> Option<Self> {
        (nodes.len() == Self::nodes_of(channels.len())).then_some(Self { channels, nodes })
    }

    /// Number of nodes of a family of so many inks.
    pub(crate) const fn nodes_of(inks: usize) -> usize {
        if inks > 1 { (REACH_INTERVALS + 1) * SLICE } else { SLICE }
    }

    /// The stored coverages.
    pub(crate) fn nodes(&self) -> &[StoredSplit] {
        &self.nodes
    }

    /// Whether the family has light inks, and so a reach.
    pub(crate) fn has_reach(&self) -> bool {
        self.nodes.len() > SLICE
    }

    /// Finds an amount and a reach of 0 to 1 in the table.
    pub(crate) fn place(&self, amount: f64, reach: f64) -> Place {
        let (amount_step, amount_part) = step(amount, AMOUNT_INTERVALS);
        if !self.has_reach() {
            let node = amount_step;
            return Place { node, above: node, amount_part, reach_part: 0.0 };
        }
        let (reach_step, reach_part) = step(reach, REACH_INTERVALS);
        let node = reach_step * SLICE + amount_step;
        Place { node, above: node + SLICE, amount_part, reach_part }
    }

    /// Coverage of each of the family's inks.
    pub(crate) fn coverages(&self, place: Place) -> Split {
        let along = |node: usize| -> Split {
            let (from, to) = (self.nodes[node], self.nodes[node + 1]);
            std::array::from_fn(|ink| {
                let (from, to) = (f64::from(from[ink]), f64::from(to[ink]));
                from + place.amount_part * (to - from)
            })
        };
        let low = along(place.node);
        if place.reach_part == 0.0 {
            return low;
        }
        let high = along(place.above);
        std::array::from_fn(|ink| low[ink] + place.reach_part * (high[ink] - low[ink]))
    }
}

fn stored(split: Split) -> StoredSplit {
    #[expect(clippy::cast_possible_truncation, reason = "coverages of 0 to 1 are kept to 10⁻⁷")]
    split.map(|coverage| coverage as f32)
}

/// A value with its slopes over amount and reach.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sloped {
    pub(crate) value: f64,
    pub(crate) over_amount: f64,
    pub(crate) over_reach: f64,
}

impl Place {
    /// Interpolates a quantity with its slopes.
    pub(crate) fn sloped(&self, of: impl Fn(usize) -> f64) -> Sloped {
        let along = |node: usize| {
            let (from, to) = (of(node), of(node + 1));
            (from + self.amount_part * (to - from), AMOUNT_SCALE * (to - from))
        };
        let ((low, low_slope), (high, high_slope)) = (along(self.node), along(self.above));
        Sloped {
            value: low + self.reach_part * (high - low),
            over_amount: low_slope + self.reach_part * (high_slope - low_slope),
            over_reach: REACH_SCALE * (high - low),
        }
    }
}

/// The interval of 0 to 1 that holds a value, and the part of it that is passed.
fn step(value: f64, intervals: usize) -> (usize, f64) {
    #[expect(clippy::cast_precision_loss, reason = "tables have under 2^52 intervals")]
    let scaled = value.clamp(0.0, 1.0) * intervals as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "scaled lies in 0 to intervals"
    )]
    let interval = (scaled as usize).min(intervals - 1);
    #[expect(clippy::cast_precision_loss, reason = "tables have under 2^52 intervals")]
    let part = scaled - interval as f64;
    (interval, part)
}

#[expect(clippy::cast_precision_loss, reason = "tables have under 2^52 intervals")]
fn fraction(step: usize, steps: usize) -> f64 {
    step as f64 / steps as f64
}
