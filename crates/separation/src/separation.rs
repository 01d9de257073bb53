use colour::{Lab, delta_e_ab};
use inkset::{BuiltSeparation, InkSet, PrintMode, SeparationDefaults, Substrate};
use print_model::PrintModel;
use rayon::prelude::*;
use units::Coverage;

use crate::build::build;
use crate::family_split::FamilySplit;
use crate::graininess::Graininess;
use crate::inverse::Inverse;
use crate::lattice::Lattice;
use crate::limits::family_limits;
use crate::policy::Policy;
use crate::recipe::RecipeBook;
use crate::{ChannelCoverages, Limits, MAX_CHANNELS, SeparationError};

/// Turns media-relative colours into the coverages of a device's channels.
///
/// Built once for an ink set, a substrate, a print mode and a policy; evaluating a colour
/// interpolates family amounts on a lattice, splits each family among its inks and enforces
/// every limit.
pub struct Separation {
    model: PrintModel,
    book: RecipeBook,
    limits: Limits,
    lattice: Lattice,
    darkest_neutral: Lab,
}

/// The answer for one colour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Separated {
    /// Coverage of each channel.
    pub coverages: ChannelCoverages,
    /// Whether a limit bound at evaluation.
    pub limited: bool,
}

/// Colours this near to media white take no ink, ΔE*ab. Our choice: far below what an eye or an
/// instrument tells apart, above rounding in a source's colour transform.
const WHITE_WITHIN: f64 = 0.05;

impl Separation {
    /// Builds the separation by the set's own defaults.
    ///
    /// # Errors
    ///
    /// See [`SeparationError`].
    pub fn build(
        set: &InkSet,
        substrate: &Substrate,
        mode: &PrintMode,
    ) -> Result<Self, SeparationError> {
        let SeparationDefaults::Built(settings) = &set.separation else {
            return Err(SeparationError::OutputProfile { set: set.name.clone() });
        };
        Self::build_with(set, substrate, mode, settings)
    }

    /// Builds the separation by other settings than the set's.
    ///
    /// # Errors
    ///
    /// See [`SeparationError`].
    pub fn build_with(
        set: &InkSet,
        substrate: &Substrate,
        mode: &PrintMode,
        settings: &BuiltSeparation,
    ) -> Result<Self, SeparationError> {
        let model = PrintModel::new(set, substrate)?;
        let limits = Limits::new(set, substrate, mode)?;
        let splits = (0..model.families())
            .into_par_iter()
            .map(|family| {
                let crossover = crossover(set, settings, &model, mode, family);
                FamilySplit::new(&model, family, &crossover, &limits)
            })
            .collect();
        let book = RecipeBook::new(splits);
        let names: Vec<&str> =
            (0..model.families()).map(|family| model.family_name(family)).collect();
        let highest = family_limits(set, &names);
        let policy = Policy::new(&model, settings);
        let lattice =
            build(&Inverse::new(&model, &book, &limits, &highest), &policy, book.length());
        let mut separation =
            Self { model, book, limits, lattice, darkest_neutral: Lab { l: 0.0, a: 0.0, b: 0.0 } };
        let darkest = separation.predict(&separation.separate(separation.darkest_neutral));
        separation.darkest_neutral = Lab { l: darkest.l, a: 0.0, b: 0.0 };
        Ok(separation)
    }

    /// Separates a media-relative colour (paper is L* 100).
    #[must_use]
    pub fn separate(&self, colour: Lab) -> Separated {
        let mut coverages = ChannelCoverages::unprinted(self.model.channels());
        if delta_e_ab(colour, Lab::WHITE) <= WHITE_WITHIN {
            return Separated { coverages, limited: false };
        }
        let mut recipe = [0.0; MAX_CHANNELS];
        self.lattice.at(colour, &mut recipe[..self.book.length()]);
        self.book.write_coverages(&recipe, &mut coverages);
        let limited = self.limits.enforce(&mut coverages);
        Separated { coverages, limited }
    }

    /// The media-relative colour that separated channels print, by the print model.
    #[must_use]
    pub fn predict(&self, separated: &Separated) -> Lab {
        self.model.predict(&separated.coverages)
    }

    /// The print model behind the separation.
    #[must_use]
    pub const fn model(&self) -> &PrintModel {
        &self.model
    }

    /// The limits that every answer keeps.
    #[must_use]
    pub const fn limits(&self) -> &Limits {
        &self.limits
    }

    /// The darkest neutral that the set reaches within its limits, media-relative: where
    /// black-point compensation scales to.
    #[must_use]
    pub const fn darkest_neutral(&self) -> Lab {
        self.darkest_neutral
    }
}
/// Coverage at which each ink of a family but the last hands over to the next, lightest first:
/// as the set states it, or bounded by graininess.
fn crossover(
    set: &InkSet,
    settings: &BuiltSeparation,
    model: &PrintModel,
    mode: &PrintMode,
    family: usize,
) -> Vec<Coverage> {
    let channels = model.family_channels(family);
    let lighter = &channels[..channels.len() - 1];
    let stated = |channel: &usize| settings.crossover.get(&set.inks[*channel].name).copied();
    if lighter.iter().all(|channel| stated(channel).is_some()) {
        return lighter.iter().filter_map(stated).collect();
    }
    let bounded = Graininess::new(model, mode, family).crossover();
    lighter.iter().map(|channel| stated(channel).unwrap_or(bounded)).collect()
}
