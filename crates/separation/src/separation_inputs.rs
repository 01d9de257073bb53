use std::fmt;

use inkset::{BLACK_FAMILY, BuiltSeparation, InkSet, PrintMode, SeparationDefaults, Substrate};
use print_model::{MODEL, PrintModel};
use rayon::prelude::*;
use units::Coverage;

use crate::build::build;
use crate::family_split::FamilySplit;
use crate::graininess::Graininess;
use crate::inverse::Inverse;
use crate::limits::family_limits;
use crate::policy::Policy;
use crate::recipe::RecipeBook;
use crate::tone_ramp::{AS_STATED_REACH, MAX_STRENGTHS, ToneRamp};
use crate::{InkPolicy, Limits, Separation, SeparationError};

/// Everything that a separation follows from.
#[derive(Clone, Copy, Debug)]
pub struct SeparationInputs<'set> {
    /// The ink set.
    pub set: &'set InkSet,
    /// One of its substrates.
    pub substrate: &'set Substrate,
    /// One of its print modes.
    pub mode: &'set PrintMode,
    /// The rule that picks one of the many separations.
    pub policy: InkPolicy,
}

/// Names a separation by a hash of everything that went into it and of this program's version.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct SeparationKey([u8; 32]);

/// Raised whenever the same inputs give another separation.
const REVISION: u32 = 3;

impl<'set> SeparationInputs<'set> {
    /// The separation of a set's first substrate and print mode by the set's own policy.
    ///
    /// `None` for a set without substrates or print modes, which can't be read from a file.
    #[must_use]
    pub fn defaults(set: &'set InkSet) -> Option<Self> {
        let (substrate, mode) = (set.substrates.first()?, set.print_modes.first()?);
        Some(Self { set, substrate, mode, policy: InkPolicy::OfSet })
    }

    /// The key of the separation.
    #[must_use]
    pub fn key(&self) -> SeparationKey {
        let mut hasher = blake3::Hasher::new();
        hasher.update(&self.set.fingerprint().bytes());
        let Self { substrate, mode, policy, .. } = self;
        // Debug output of numbers is exact, and the key is only compared with its own kind.
        let parts = format!(
            "\n{}\n{}\n{policy:?}\n{MODEL}\n{REVISION}\n{}",
            substrate.name,
            mode.name,
            env!("CARGO_PKG_VERSION")
        );
        hasher.update(parts.as_bytes());
        SeparationKey(*hasher.finalize().as_bytes())
    }

    /// Checks that the separation can be built, without building it.
    ///
    /// # Errors
    ///
    /// See [`SeparationError`].
    pub fn check(&self) -> Result<(), SeparationError> {
        self.crossovers(self.settings()?, &self.model()?)?;
        Limits::new(self.set, self.substrate, self.mode).map(drop)
    }

    /// Builds the separation.
    ///
    /// # Errors
    ///
    /// See [`SeparationError`].
    pub fn build(&self) -> Result<Separation, SeparationError> {
        let settings = self.settings()?;
        let model = self.model()?;
        let limits = Limits::new(self.set, self.substrate, self.mode)?;
        let splits = self
            .crossovers(settings, &model)?
            .into_par_iter()
            .enumerate()
            .map(|(family, crossover)| FamilySplit::new(&model, family, &crossover))
            .collect();
        let book = RecipeBook::new(splits);
        let policy = Policy::new(&model, settings, self.policy);
        let highest = self.highest_amounts(&model, &policy);
        let inverse = Inverse::new(&model, &book, &limits, &highest);
        let lattice = build(&inverse, &policy, book.length());
        drop(inverse);
        Ok(Separation::of_tables(model, limits, book, lattice, self.policy.toning()))
    }

    /// The print model of the inputs.
    pub(crate) fn model(&self) -> Result<PrintModel, SeparationError> {
        let model = PrintModel::new(self.set, self.substrate)?;
        let has_black = (0..model.families()).any(|f| model.family_name(f) == BLACK_FAMILY);
        if matches!(self.policy, InkPolicy::Monochrome(_)) && !has_black {
            return Err(SeparationError::NoBlackFamily { set: self.set.name.clone() });
        }
        let strengths = |family: usize| model.family_channels(family).len();
        match (0..model.families()).find(|&family| strengths(family) > MAX_STRENGTHS) {
            None => Ok(model),
            Some(family) => Err(SeparationError::TooManyStrengths {
                family: model.family_name(family).to_owned(),
                strengths: strengths(family),
            }),
        }
    }

    /// The crossovers of every family, checked.
    fn crossovers(
        &self,
        settings: &BuiltSeparation,
        model: &PrintModel,
    ) -> Result<Vec<Vec<Coverage>>, SeparationError> {
        (0..model.families())
            .into_par_iter()
            .map(|family| {
                let crossover = self.crossover(settings, model, family);
                let ramp = ToneRamp::new(model, family, &crossover, AS_STATED_REACH);
                match ramp.falling_handover() {
                    None => Ok(crossover),
                    Some(ink) => Err(SeparationError::CrossoversFall {
                        family: model.family_name(family).to_owned(),
                        ink: self.set.inks[model.family_channels(family)[ink]].name.clone(),
                        percent: 100.0 * crossover[ink].to_fraction(),
                    }),
                }
            })
            .collect()
    }

    fn settings(&self) -> Result<&'set BuiltSeparation, SeparationError> {
        match &self.set.separation {
            SeparationDefaults::Built(settings) => Ok(settings),
            SeparationDefaults::OutputProfile(_) => {
                Err(SeparationError::OutputProfile { set: self.set.name.clone() })
            }
        }
    }

    /// The highest amount of each family: the set's limit, or none for families that a
    /// monochrome print shuts out.
    fn highest_amounts(&self, model: &PrintModel, policy: &Policy) -> Vec<f64> {
        let names: Vec<&str> = (0..model.families()).map(|f| model.family_name(f)).collect();
        let mut highest = family_limits(self.set, &names);
        if policy.only_black() {
            for (limit, name) in highest.iter_mut().zip(&names) {
                *limit = if *name == BLACK_FAMILY { *limit } else { 0.0 };
            }
        }
        highest
    }

    /// Coverage at which each ink of a family but the last hands over to the next, lightest
    /// first: as the set states it, or bounded by graininess.
    fn crossover(
        &self,
        settings: &BuiltSeparation,
        model: &PrintModel,
        family: usize,
    ) -> Vec<Coverage> {
        let channels = model.family_channels(family);
        let lighter = &channels[..channels.len() - 1];
        let stated =
            |channel: &usize| settings.crossover.get(&self.set.inks[*channel].name).copied();
        if lighter.iter().all(|channel| stated(channel).is_some()) {
            return lighter.iter().filter_map(stated).collect();
        }
        let bounded = Graininess::new(model, self.mode, family).crossover();
        lighter.iter().map(|channel| stated(channel).unwrap_or(bounded)).collect()
    }
}

impl SeparationKey {
    /// The bytes of the hash.
    #[must_use]
    pub const fn bytes(&self) -> [u8; 32] {
        self.0
    }
}

impl fmt::Display for SeparationKey {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(out, "{byte:02x}"))
    }
}

impl fmt::Debug for SeparationKey {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "SeparationKey({self})")
    }
}
