use colour::BANDS;
use inkset::{EffectiveCoverageCurve, EffectiveValues, MixedBands, RampLaw};

use crate::family_ramp::factor;
use crate::kubelka_munk::Inner;
use crate::yule_nielsen::{compress, expand};

use super::sheet::{Combination, percent_rounded};

/// Effective coverages of one ink's ramp, step by step and band by band.
#[derive(Clone, Debug)]
pub(crate) struct Ramp {
    pub(crate) coverages: Vec<f64>,
    effective: Vec<[f64; BANDS]>,
}

/// Share of the deepest band's curve that every band's curve gets. Our choice: it keeps curves
/// rising where noise or a second absorption would make them level, which cells and inverses need;
/// it moves a band's effective coverage by 0.01 at most where bands differ by 0.3.
const COMMON_SHARE: f64 = 0.03;
/// As in the forward model: a band that changes less carries no curve of its own.
const SMALLEST_SPAN: f64 = 0.002;

/// What a ramp's ends are, and how tints lie between them.
pub(crate) struct Ends {
    law: RampLaw,
    paper: [f64; BANDS],
    solid: [f64; BANDS],
    inner: [Inner; BANDS],
    deepest: usize,
    span: [f64; BANDS],
}

impl Ends {
    pub(crate) fn new(
        law: RampLaw,
        darkest: f64,
        paper: &[f64; BANDS],
        solid: &[f64; BANDS],
    ) -> Self {
        let n = factor(law);
        let span: [f64; BANDS] =
            std::array::from_fn(|band| compress(paper[band], n) - compress(solid[band], n));
        let deepest = (0..BANDS).max_by(|&a, &b| span[a].total_cmp(&span[b])).unwrap_or(0);
        let inner = paper.map(|r| Inner::new(r, darkest));
        Self { law, paper: *paper, solid: *solid, inner, deepest, span }
    }

    /// The effective coverage that makes some values out of the ends.
    fn effective(&self, values: &[f64; BANDS]) -> [f64; BANDS] {
        let at = |band: usize| match self.law {
            RampLaw::YuleNielsen { n } => {
                (compress(self.paper[band], n) - compress(values[band], n)) / self.span[band]
            }
            RampLaw::KubelkaMunk { .. } | RampLaw::KubelkaMunkMixtures { .. } => {
                let ratio = |r: f64| self.inner[band].ratio(r);
                ratio(values[band]) / ratio(self.solid[band])
            }
        };
        let deepest = at(self.deepest).clamp(0.0, 1.0);
        std::array::from_fn(|band| {
            let is_told = self.span[band].abs() >= SMALLEST_SPAN && at(band).is_finite();
            if is_told { at(band).clamp(0.0, 1.0) } else { deepest }
        })
    }

    /// The tone of an effective coverage: the part of the way from paper to solid in compressed
    /// reflectance.
    pub(crate) fn tone(&self, effective: &[f64; BANDS]) -> [f64; BANDS] {
        let n = factor(self.law);
        let values = self.values(effective);
        let at = |band: usize| {
            (compress(self.paper[band], n) - compress(values[band], n)) / self.span[band]
        };
        let deepest = at(self.deepest);
        std::array::from_fn(
            |band| {
                if self.span[band].abs() < SMALLEST_SPAN { deepest } else { at(band) }
            },
        )
    }

    /// The values of an effective coverage.
    fn values(&self, effective: &[f64; BANDS]) -> [f64; BANDS] {
        std::array::from_fn(|band| match self.law {
            RampLaw::YuleNielsen { n } => {
                expand(compress(self.paper[band], n) - effective[band] * self.span[band], n)
            }
            RampLaw::KubelkaMunk { .. } | RampLaw::KubelkaMunkMixtures { .. } => {
                let full = self.inner[band].ratio(self.solid[band]);
                self.inner[band].reflectance(effective[band] * full)
            }
        })
    }
}

impl Ramp {
    /// Turns a measured ramp, paper first and solid last, into effective coverages that rise.
    pub(crate) fn new(ends: &Ends, steps: &[(f64, Combination)]) -> Self {
        let coverages: Vec<f64> = steps.iter().map(|(coverage, _)| *coverage).collect();
        let last = steps.len() - 1;
        let mut effective: Vec<[f64; BANDS]> =
            steps.iter().map(|(_, step)| ends.effective(&step.values)).collect();
        effective[0] = [0.0; BANDS];
        effective[last] = [1.0; BANDS];
        for band in 0..BANDS {
            let raw: Vec<f64> = effective.iter().map(|step| step[band]).collect();
            for (step, value) in effective.iter_mut().zip(rising(&raw)) {
                step[band] = value;
            }
        }
        for step in &mut effective {
            let common = step[ends.deepest];
            *step = step.map(|own| percent_rounded(own + COMMON_SHARE * (common - own)));
        }
        Self { coverages, effective }
    }

    /// What the ramp shows at a coverage.
    pub(crate) fn values(&self, ends: &Ends, coverage: f64) -> [f64; BANDS] {
        ends.values(&self.effective(coverage))
    }

    /// The effective coverage of a coverage, straight between steps.
    pub(crate) fn effective(&self, coverage: f64) -> [f64; BANDS] {
        let last = self.coverages.len() - 1;
        let above = self.coverages.partition_point(|&c| c < coverage).clamp(1, last);
        let (from, to) = (self.coverages[above - 1], self.coverages[above]);
        let part = (coverage - from) / (to - from);
        std::array::from_fn(|band| {
            let (low, high) = (self.effective[above - 1][band], self.effective[above][band]);
            low + part * (high - low)
        })
    }

    /// Coverages with the mean effective coverage of the bands.
    pub(crate) fn tones(&self) -> Vec<(f64, f64)> {
        #[expect(clippy::cast_precision_loss, reason = "there are 36 bands")]
        let mean = |step: &[f64; BANDS]| step.iter().sum::<f64>() / BANDS as f64;
        self.coverages.iter().copied().zip(self.effective.iter().map(mean)).collect()
    }

    /// The curve in the form of an ink set.
    pub(crate) fn curve(&self, bands: MixedBands) -> EffectiveCoverageCurve {
        let effective = match bands {
            MixedBands::Spectral => EffectiveValues::PerBand(self.effective.clone()),
            MixedBands::Tristimulus => EffectiveValues::PerTristimulus(
                // One of the twelve places of each, in the order X, Y, Z.
                self.effective
                    .iter()
                    .map(|step| [step[BANDS - 1], step[BANDS / 2], step[0]])
                    .collect(),
            ),
        };
        EffectiveCoverageCurve { coverages: self.coverages.clone(), effective }
    }
}

/// The rising values nearest to some values, by pooling neighbours that fall.
///
/// Source: Ayer, Brunk, Ewing, Reid and Silverman, Annals of Mathematical Statistics 26 (1955).
fn rising(values: &[f64]) -> Vec<f64> {
    let mut pools: Vec<(f64, usize)> = Vec::with_capacity(values.len());
    for &value in values {
        let mut pool = (value, 1);
        while let Some(&(mean, weight)) = pools.last() {
            if mean <= pool.0 {
                break;
            }
            pools.pop();
            pool = (pooled((mean, weight), pool), weight + pool.1);
        }
        pools.push(pool);
    }
    let mut rising = Vec::with_capacity(values.len());
    for (mean, weight) in pools {
        rising.extend(std::iter::repeat_n(mean, weight));
    }
    rising
}

#[expect(clippy::cast_precision_loss, reason = "ramps have far fewer than 2^52 steps")]
fn pooled(one: (f64, usize), other: (f64, usize)) -> f64 {
    let (first, second) = (one.1 as f64, other.1 as f64);
    (one.0 * first + other.0 * second) / (first + second)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn falling_neighbours_are_pooled_and_rising_values_stay() {
        assert_eq!(rising(&[0.0, 0.2, 0.5, 1.0]), [0.0, 0.2, 0.5, 1.0]);
        assert_eq!(rising(&[0.0, 0.6, 0.4, 1.0]), [0.0, 0.5, 0.5, 1.0]);
        assert_eq!(rising(&[0.0, 0.9, 0.6, 0.3, 1.0]), [0.0, 0.6, 0.6, 0.6, 1.0]);
    }
}
