use inkset::{InkSet, PrintMode, SeparationDefaults, Substrate};
use units::{Coverage, LayDown, Load, TotalAreaCoverage};

use crate::{ChannelCoverages, SeparationError};

/// What the inks, the families and the substrate allow at one place.
///
/// Limits are enforced on the channels of every colour that is separated, after interpolation
/// and splitting: lattice nodes within the limits don't guarantee it between them.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    lay_down: Vec<LayDown>,
    ink: Vec<Coverage>,
    total_area_coverage: TotalAreaCoverage,
    load: Load,
}

/// Rounding of sums must not report a limit as passed.
const ROUNDING: f64 = 1e-12;

impl Limits {
    /// The limits of a set's channels on a substrate in a print mode.
    ///
    /// # Errors
    ///
    /// `LayDown` when the print mode gives an impossible lay-down.
    pub fn new(
        set: &InkSet,
        substrate: &Substrate,
        mode: &PrintMode,
    ) -> Result<Self, SeparationError> {
        let lay_down = set
            .inks
            .iter()
            .map(|ink| {
                mode.full_lay_down(&ink.name).map_err(|cause| SeparationError::LayDown {
                    mode: mode.name.clone(),
                    ink: ink.name.clone(),
                    cause,
                })
            })
            .collect::<Result<_, _>>()?;
        Ok(Self {
            lay_down,
            ink: set.inks.iter().map(|ink| ink.limit).collect(),
            total_area_coverage: substrate.total_area_coverage_limit,
            load: substrate.load_limit,
        })
    }

    /// Lay-down of each channel at full coverage.
    #[must_use]
    pub fn lay_down(&self) -> &[LayDown] {
        &self.lay_down
    }

    /// Highest coverage of a channel.
    #[must_use]
    pub fn ink(&self, channel: usize) -> Coverage {
        self.ink[channel]
    }

    /// Highest sum of coverages.
    #[must_use]
    pub const fn total_area_coverage(&self) -> TotalAreaCoverage {
        self.total_area_coverage
    }

    /// Most ink at one place.
    #[must_use]
    pub const fn load(&self) -> Load {
        self.load
    }

    /// The ink that some coverages lay down.
    #[must_use]
    pub fn load_of(&self, coverages: &ChannelCoverages) -> Load {
        coverages.iter().zip(&self.lay_down).map(|(coverage, lay_down)| *lay_down * *coverage).sum()
    }

    /// Brings coverages within every limit and says whether one bound.
    ///
    /// Single inks are clipped; the sum and the load are met by scaling all channels alike,
    /// which keeps hue. The lattice has already given up chroma before lightness where a limit
    /// binds, so that only interpolation errors are left to scale away.
    pub fn enforce(&self, coverages: &mut ChannelCoverages) -> bool {
        let mut bound = false;
        for channel in 0..coverages.len() {
            if coverages[channel] > self.ink[channel] {
                coverages.set_clipped(channel, self.ink[channel].to_fraction());
                bound = true;
            }
        }
        let factor = self.scale_within(coverages);
        if factor < 1.0 - ROUNDING {
            coverages.scale(factor);
            bound = true;
        }
        bound
    }

    /// The factor that brings sum and load within their limits, at most 1.
    fn scale_within(&self, coverages: &ChannelCoverages) -> f64 {
        let sum: f64 = coverages.iter().map(|coverage| coverage.to_fraction()).sum();
        let load = self.load_of(coverages).to_millilitres_per_square_metre();
        let most = self.total_area_coverage.to_fraction();
        let most_load = self.load.to_millilitres_per_square_metre();
        if sum <= most && load <= most_load {
            return 1.0;
        }
        (most / sum).min(most_load / load).min(1.0)
    }
}

/// The highest amount of each family, by position among the model's families.
pub(crate) fn family_limits(set: &InkSet, names: &[&str]) -> Vec<f64> {
    let SeparationDefaults::Built(built) = &set.separation else {
        return vec![1.0; names.len()];
    };
    names
        .iter()
        .map(|name| built.family_limits.get(*name).map_or(1.0, |limit| limit.to_fraction()))
        .collect()
}
