use colour::BANDS;
use print_model::{BandAmounts, PrintModel};
use units::Coverage;

use crate::Limits;
use crate::family_split::{FamilySplit, Place, Sloped};

/// What the splits of one family look like and take: what the inverse needs beside the coverages.
pub(crate) struct FamilyTints {
    nodes: Vec<Node>,
}

struct Node {
    tint: BandAmounts,
    /// Ink of the family in ml/m².
    load: f64,
    /// Sum of the coverages.
    total: f64,
}

/// A family at one place, with slopes.
pub(crate) struct TintAt {
    pub(crate) tint: BandAmounts,
    pub(crate) tint_over_amount: [f64; BANDS],
    pub(crate) tint_over_reach: [f64; BANDS],
    pub(crate) load: Sloped,
    pub(crate) total: Sloped,
}

impl FamilyTints {
    /// Tabulates a family at the nodes of its split.
    pub(crate) fn new(
        model: &PrintModel,
        family: usize,
        split: &FamilySplit,
        limits: &Limits,
    ) -> Self {
        let lay_down =
            |channel: &usize| limits.lay_down()[*channel].to_millilitres_per_square_metre();
        let nodes = split
            .nodes()
            .iter()
            .map(|node| {
                let inks = node.map(f64::from);
                let inks = &inks[..split.channels.len()];
                let coverages: Vec<Coverage> = inks
                    .iter()
                    .map(|c| Coverage::from_fraction(c.clamp(0.0, 1.0)).unwrap_or(Coverage::MIN))
                    .collect();
                Node {
                    tint: model.tint(family, &coverages),
                    load: split.channels.iter().map(lay_down).zip(inks).map(|(l, c)| l * c).sum(),
                    total: inks.iter().sum(),
                }
            })
            .collect();
        Self { nodes }
    }

    /// The family at a place of its split.
    pub(crate) fn at(&self, place: Place) -> TintAt {
        let mut tint = [0.0; BANDS];
        let mut tint_over_amount = [0.0; BANDS];
        let mut tint_over_reach = [0.0; BANDS];
        for band in 0..BANDS {
            let sloped = place.sloped(|node| self.nodes[node].tint.bands()[band]);
            tint[band] = sloped.value;
            tint_over_amount[band] = sloped.over_amount;
            tint_over_reach[band] = sloped.over_reach;
        }
        TintAt {
            tint: BandAmounts::from_bands(tint),
            tint_over_amount,
            tint_over_reach,
            load: place.sloped(|node| self.nodes[node].load),
            total: place.sloped(|node| self.nodes[node].total),
        }
    }
}
