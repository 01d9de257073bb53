use crate::family_split::{FamilySplit, Place};
use crate::{ChannelCoverages, MAX_CHANNELS};

/// What is solved for and stored at a lattice node: the amount of each family in the model's
/// order, then the reach of each family with light inks. Unused places stay zero.
///
/// A family has a reach only if it has two inks or more, so that a recipe is never longer than
/// the device has inks.
pub(crate) type Recipe = [f64; MAX_CHANNELS];

/// Turns recipes into coverages of channels.
#[derive(Clone, Debug)]
pub(crate) struct RecipeBook {
    splits: Vec<FamilySplit>,
    /// By family: the place of its reach in a recipe.
    reaches: Vec<Option<usize>>,
    length: usize,
}

impl RecipeBook {
    pub(crate) fn new(splits: Vec<FamilySplit>) -> Self {
        let mut length = splits.len();
        let reaches = splits
            .iter()
            .map(|split| {
                split.has_reach().then(|| {
                    length += 1;
                    length - 1
                })
            })
            .collect();
        Self { splits, reaches, length }
    }

    /// Length of a recipe.
    pub(crate) const fn length(&self) -> usize {
        self.length
    }

    /// Number of families.
    pub(crate) fn families(&self) -> usize {
        self.splits.len()
    }

    /// The split of a family.
    pub(crate) fn split(&self, family: usize) -> &FamilySplit {
        &self.splits[family]
    }

    /// Where a recipe stands in the split of a family.
    pub(crate) fn place(&self, family: usize, recipe: &Recipe) -> Place {
        let reach = self.reaches[family].map_or(0.0, |place| recipe[place]);
        self.splits[family].place(recipe[family], reach)
    }

    /// The place of a family's reach in a recipe, if it has one.
    pub(crate) fn reach_place(&self, family: usize) -> Option<usize> {
        self.reaches[family]
    }

    /// Sets the channels that a recipe uses.
    pub(crate) fn write_coverages(&self, recipe: &Recipe, coverages: &mut ChannelCoverages) {
        for (family, split) in self.splits.iter().enumerate() {
            let place = self.place(family, recipe);
            for (channel, coverage) in split.channels.iter().zip(split.coverages(place)) {
                coverages.set_clipped(*channel, coverage);
            }
        }
    }
}
