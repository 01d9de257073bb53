use inkset::PrintMode;
use print_model::PrintModel;
use units::Coverage;

use crate::tone_ramp::{AS_STATED_REACH, Split, ToneRamp};

/// How grainy a family's tones look, at worst over the whole ramp.
///
/// Dots that fall at random with coverage c and density contrast ΔD have a flat noise spectrum of
/// height A c (1 − c) ΔD² for dots of area A. Seen through the eye's transfer function the noise
/// is a constant times the root of that, and it shows less in dark tones: graininess
/// = e^(−1.8 D) × √(Σ over inks of A c (1 − c) ΔD²) × constant, with D the mean density.
///
/// The constant is left out: only ratios within a print mode are used. Screens place dots more
/// evenly than at random, alike for all inks, which leaves ratios as they are.
///
/// Source: Dooley and Shaw, "Noise perception in electrophotography", Journal of Applied
/// Photographic Engineering 5 (1979).
pub(crate) struct Graininess<'model> {
    model: &'model PrintModel,
    mode: &'model PrintMode,
    family: usize,
}

/// How much of the graininess that light inks can take away the default crossover takes away.
/// Our choice: light inks are bought for smooth tones, and the last fifth costs the most ink.
const TAKEN_AWAY: f64 = 0.8;
/// Tones at which the graininess is looked at: it has one broad hump over the ramp.
const TONES: u32 = 48;
/// Halvings of the crossover: to 1 %.
const HALVINGS: u32 = 7;
/// Weight of the mean density in the eye's response.
const DENSITY_WEIGHT: f64 = 1.8;

impl<'model> Graininess<'model> {
    pub(crate) const fn new(
        model: &'model PrintModel,
        mode: &'model PrintMode,
        family: usize,
    ) -> Self {
        Self { model, mode, family }
    }

    /// The lowest coverage of light inks, alike for all of the family, at which they hand over
    /// so late that most of what they can do against graininess is done.
    pub(crate) fn crossover(&self) -> Coverage {
        let without = self.worst(Coverage::MIN);
        let least = self.worst(Coverage::MAX);
        let allowed = without - TAKEN_AWAY * (without - least);
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            let at = Coverage::from_fraction(middle).unwrap_or(Coverage::MAX);
            if self.worst(at) > allowed { low = middle } else { high = middle }
        }
        Coverage::from_fraction(high).unwrap_or(Coverage::MAX)
    }

    /// The highest graininess over the ramp with light inks that hand over at a coverage.
    pub(crate) fn worst(&self, crossover: Coverage) -> f64 {
        let inks = self.model.family_channels(self.family).len();
        let ramp =
            ToneRamp::new(self.model, self.family, &vec![crossover; inks - 1], AS_STATED_REACH);
        (1..TONES)
            .map(|tone| self.at(&ramp.split(f64::from(tone) / f64::from(TONES))))
            .fold(0.0, f64::max)
    }

    fn at(&self, split: &Split) -> f64 {
        let inks = self.model.family_channels(self.family).len();
        let variance: f64 = (0..inks)
            .map(|ink| {
                let dot = |coverage: f64| {
                    let mut other = *split;
                    other[ink] = coverage;
                    self.density(&other)
                };
                let contrast = dot(1.0) - dot(0.0);
                let coverage = split[ink];
                self.dot_area(coverage) * coverage * (1.0 - coverage) * contrast * contrast
            })
            .sum();
        (-DENSITY_WEIGHT * self.density(split)).exp() * variance.sqrt()
    }

    /// Visual density relative to the paper: of the luminance under D50.
    fn density(&self, split: &Split) -> f64 {
        let mut coverages = vec![Coverage::MIN; self.model.channels()];
        for (&channel, &coverage) in self.model.family_channels(self.family).iter().zip(split) {
            coverages[channel] = clipped(coverage);
        }
        let printed = self.model.xyz(&coverages);
        -(printed.y / self.model.paper_xyz().y).log10()
    }

    /// Area of a dot relative to a full one, taken as its volume's share: a full drop covers its
    /// cell, and coverage is the share of volume.
    fn dot_area(&self, coverage: f64) -> f64 {
        let mean = |at| self.mode.drop_mix.mean_picolitres(at);
        mean(clipped(coverage)) / mean(Coverage::MAX)
    }
}

fn clipped(coverage: f64) -> Coverage {
    Coverage::from_fraction(coverage.clamp(0.0, 1.0)).unwrap_or(Coverage::MIN)
}
