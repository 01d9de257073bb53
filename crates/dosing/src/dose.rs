use inkset::InkSet;
use units::{Area, LayDown, Share, Volume};

use crate::PriorWidths;

/// A volume with the range in which it is expected in nine of ten cases.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VolumeRange {
    /// Lower end.
    pub low: Volume,
    /// What the model expects.
    pub expected: Volume,
    /// Upper end.
    pub high: Volume,
}

/// The ink of a picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Dose {
    /// By channel, in the order of the set's inks.
    pub channels: Vec<VolumeRange>,
    /// All channels together. Its range is narrower than the sum of the channels' ranges, because
    /// their own errors partly cancel.
    pub total: VolumeRange,
}

/// Doses mean coverages over a printed area: area × lay-down × mean coverage.
///
/// | Argument     | Quantity                                       | Shape          |
/// |--------------|------------------------------------------------|----------------|
/// | `means`      | mean coverage over the area                    | one a channel  |
/// | `lay_down`   | ml/m² at full coverage                         | one a channel  |
/// | `area`       | all copies together                            |                |
#[must_use]
pub fn dose(
    set: &InkSet,
    means: &[Share],
    lay_down: &[LayDown],
    area: Area,
    widths: &PriorWidths,
) -> Dose {
    let expected: Vec<Volume> = means
        .iter()
        .zip(lay_down)
        .map(|(mean, lay_down)| (*lay_down * area).scaled(mean.to_fraction()))
        .collect();
    let own = |channel: usize| widths.own(!set.inks[channel].is_full_strength());
    let channels = expected
        .iter()
        .enumerate()
        .map(|(channel, volume)| around(*volume, widths.lay_down.hypot(own(channel))))
        .collect();
    let total: Volume = expected.iter().copied().sum();
    Dose { channels, total: around(total, total_width(&expected, own, widths)) }
}

/// Relative half-width of the total: own errors add as independent ones, the common one in full.
fn total_width(expected: &[Volume], own: impl Fn(usize) -> f64, widths: &PriorWidths) -> f64 {
    let total: f64 = expected.iter().map(|volume| volume.to_millilitres()).sum();
    if total == 0.0 {
        return 0.0;
    }
    let squares: f64 = expected
        .iter()
        .enumerate()
        .map(|(channel, volume)| (own(channel) * volume.to_millilitres()).powi(2))
        .sum();
    widths.lay_down.hypot(squares.sqrt() / total)
}

/// A range on a logarithmic scale: causes multiply, so that half is as far off as twice. A width
/// given in percent is that of the upper end, and no width reaches zero.
fn around(expected: Volume, half_width: f64) -> VolumeRange {
    let factor = 1.0 + half_width;
    VolumeRange { low: expected.scaled(1.0 / factor), expected, high: expected.scaled(factor) }
}
