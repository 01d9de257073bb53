use colour::BANDS;
use print_model::{BandAmounts, PrintModel};
use units::Coverage;

use crate::Limits;
use crate::tone_ramp::{Split, ToneRamp};

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
#[derive(Clone, Debug)]
pub(crate) struct FamilySplit {
    /// Channels, lightest first.
    pub(crate) channels: Vec<usize>,
    /// Tables over the amount, by step of reach; a single one without light inks.
    slices: Vec<Slice>,
}

/// The split over the amount for one reach.
#[derive(Clone, Debug)]
struct Slice {
    nodes: Vec<Node>,
}

#[derive(Clone, Debug)]
struct Node {
    coverages: Split,
    tint: BandAmounts,
    /// Ink of the family in ml/m².
    load: f64,
    /// Sum of the coverages.
    total: f64,
}

/// Intervals over the amount 0 to 1. Our choice: they keep the error of straight interpolation
/// in any band under 10⁻⁴.
const AMOUNT_INTERVALS: usize = 256;
/// Intervals over the reach, along which a split bends little.
const REACH_INTERVALS: usize = 8;

/// A place in the table.
#[derive(Clone, Copy)]
pub(crate) struct Place {
    amount: Step,
    reach: Step,
}

/// An interval and the part of it that is passed.
#[derive(Clone, Copy)]
struct Step {
    interval: usize,
    part: f64,
    /// Intervals per unit.
    scale: f64,
}

/// A value with its slopes over amount and reach.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sloped {
    pub(crate) value: f64,
    pub(crate) over_amount: f64,
    pub(crate) over_reach: f64,
}

/// What the inverse needs at a place.
pub(crate) struct SplitAt {
    pub(crate) tint: BandAmounts,
    pub(crate) tint_over_amount: [f64; BANDS],
    pub(crate) tint_over_reach: [f64; BANDS],
    pub(crate) load: Sloped,
    pub(crate) total: Sloped,
}

impl FamilySplit {
    /// Tabulates a family. `crossover` gives the coverage at which each ink but the last hands
    /// over at half the reach, lightest first.
    pub(crate) fn new(
        model: &PrintModel,
        family: usize,
        crossover: &[Coverage],
        limits: &Limits,
    ) -> Self {
        let channels = model.family_channels(family).to_vec();
        let steps = if channels.len() > 1 { REACH_INTERVALS } else { 0 };
        let slices = (0..=steps)
            .map(|step| {
                let ramp = ToneRamp::new(model, family, crossover, fraction(step, steps.max(1)));
                Slice::new(&ramp, &channels, limits)
            })
            .collect();
        Self { channels, slices }
    }

    /// Whether the family has light inks, and so a reach.
    pub(crate) fn has_reach(&self) -> bool {
        self.slices.len() > 1
    }

    /// Finds an amount and a reach of 0 to 1 in the table.
    pub(crate) fn place(&self, amount: f64, reach: f64) -> Place {
        Place {
            amount: Step::new(amount, AMOUNT_INTERVALS),
            reach: Step::new(reach, self.slices.len() - 1),
        }
    }

    /// Coverage of each of the family's inks.
    pub(crate) fn coverages(&self, place: Place) -> Split {
        std::array::from_fn(|ink| self.value(place, |node| node.coverages[ink]))
    }

    /// Tint, load and total with their slopes.
    pub(crate) fn at(&self, place: Place) -> SplitAt {
        let mut tint = [0.0; BANDS];
        let mut tint_over_amount = [0.0; BANDS];
        let mut tint_over_reach = [0.0; BANDS];
        for band in 0..BANDS {
            let sloped = self.sloped(place, |node| node.tint.bands()[band]);
            tint[band] = sloped.value;
            tint_over_amount[band] = sloped.over_amount;
            tint_over_reach[band] = sloped.over_reach;
        }
        SplitAt {
            tint: BandAmounts::from_bands(tint),
            tint_over_amount,
            tint_over_reach,
            load: self.sloped(place, |node| node.load),
            total: self.sloped(place, |node| node.total),
        }
    }

    fn value(&self, place: Place, of: impl Fn(&Node) -> f64) -> f64 {
        let [low, high] = self.slices_at(place);
        let along = |slice: &Slice| {
            let (from, to) = (
                of(&slice.nodes[place.amount.interval]),
                of(&slice.nodes[place.amount.interval + 1]),
            );
            from + place.amount.part * (to - from)
        };
        let from = along(low);
        if place.reach.part == 0.0 { from } else { from + place.reach.part * (along(high) - from) }
    }

    fn sloped(&self, place: Place, of: impl Fn(&Node) -> f64) -> Sloped {
        let [low, high] = self.slices_at(place);
        let Step { interval, part, scale } = place.amount;
        let along = |slice: &Slice| {
            let (from, to) = (of(&slice.nodes[interval]), of(&slice.nodes[interval + 1]));
            (from + part * (to - from), scale * (to - from))
        };
        let ((from, slope_from), (to, slope_to)) = (along(low), along(high));
        Sloped {
            value: from + place.reach.part * (to - from),
            over_amount: slope_from + place.reach.part * (slope_to - slope_from),
            over_reach: place.reach.scale * (to - from),
        }
    }

    /// The slices below and above a place; the same one twice without light inks.
    fn slices_at(&self, place: Place) -> [&Slice; 2] {
        let below = place.reach.interval;
        [&self.slices[below], &self.slices[(below + 1).min(self.slices.len() - 1)]]
    }
}

impl Slice {
    fn new(ramp: &ToneRamp<'_>, channels: &[usize], limits: &Limits) -> Self {
        let nodes = (0..=AMOUNT_INTERVALS)
            .map(|node| {
                let coverages = ramp.split(fraction(node, AMOUNT_INTERVALS));
                let load = channels.iter().zip(coverages).map(|(&channel, coverage)| {
                    limits.lay_down()[channel].to_millilitres_per_square_metre() * coverage
                });
                Node {
                    tint: ramp.tint(&coverages),
                    load: load.sum(),
                    total: coverages.iter().sum(),
                    coverages,
                }
            })
            .collect();
        Self { nodes }
    }
}

impl Step {
    fn new(value: f64, intervals: usize) -> Self {
        #[expect(clippy::cast_precision_loss, reason = "tables have under 2^52 intervals")]
        let scale = intervals as f64;
        let scaled = value.clamp(0.0, 1.0) * scale;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "scaled lies in 0 to intervals"
        )]
        let interval = (scaled as usize).min(intervals.saturating_sub(1));
        #[expect(clippy::cast_precision_loss, reason = "tables have under 2^52 intervals")]
        let part = scaled - interval as f64;
        Self { interval, part, scale }
    }
}

#[expect(clippy::cast_precision_loss, reason = "tables have under 2^52 intervals")]
fn fraction(step: usize, steps: usize) -> f64 {
    step as f64 / steps as f64
}
