use units::{Area, Volume};

use crate::deviates::Deviates;
use crate::{CalibratedChannel, Calibration, ChannelUse, Dose, VolumeRange};

/// The ink of a picture and of its job's start-up, by a calibration.
#[derive(Clone, Debug, PartialEq)]
pub struct CalibratedDose {
    /// The picture's ink alone.
    pub picture: Dose,
    /// Ink of all channels at the start of the job.
    pub start_up: VolumeRange,
    /// Both together: what a reading that includes the start-up would show.
    pub job_total: VolumeRange,
}

/// Scatter of later readings begins here for each draw, so that equal questions have equal answers.
const SEED: u64 = 2;
/// Ends of the 90 % range among the sorted draws.
const ENDS: [f64; 2] = [0.05, 0.95];

impl Calibration {
    /// Doses a picture over a printed area.
    ///
    /// Ranges are quantiles of what all draws predict, each reading scattered as the draw says.
    #[must_use]
    pub fn dose(&self, uses: &[ChannelUse], area: Area) -> CalibratedDose {
        let best = Amounts::of(&self.channels, uses, area, || 1.0);
        let mut deviates = Deviates::new(SEED);
        let drawn: Vec<Amounts> = self
            .draws
            .iter()
            .map(|draw| {
                let scatter = draw.scatter.to_fraction();
                let factor = || (1.0 + scatter * deviates.normal()).max(0.0);
                Amounts::of(&draw.channels, uses, area, factor)
            })
            .collect();
        let range = |value: &dyn Fn(&Amounts) -> f64| {
            range(value(&best), drawn.iter().map(value).collect())
        };
        let channels =
            (0..self.channels.len()).map(|channel| range(&|a: &Amounts| a.picture[channel]));
        CalibratedDose {
            picture: Dose {
                channels: channels.collect(),
                total: range(&|a: &Amounts| a.picture.iter().sum()),
            },
            start_up: range(&|a: &Amounts| a.start_up),
            job_total: range(&|a: &Amounts| a.job_total),
        }
    }
}

/// Millilitres by one set of values.
struct Amounts {
    picture: Vec<f64>,
    start_up: f64,
    job_total: f64,
}

impl Amounts {
    /// The amounts with each channel's ink off by a factor of its own.
    fn of(
        channels: &[CalibratedChannel],
        uses: &[ChannelUse],
        area: Area,
        mut factor: impl FnMut() -> f64,
    ) -> Self {
        let mut amounts = Self { picture: Vec::new(), start_up: 0.0, job_total: 0.0 };
        for (channel, used) in channels.iter().zip(uses) {
            let factor = factor();
            let picture = channel.picture(used, area).to_millilitres();
            let start_up = channel.start_up.to_millilitres();
            amounts.picture.push(picture * factor);
            amounts.start_up += start_up;
            amounts.job_total += (picture + start_up) * factor;
        }
        amounts
    }
}

impl CalibratedChannel {
    /// Ink of the channel for a picture over an area.
    #[must_use]
    pub fn picture(&self, channel_use: &ChannelUse, area: Area) -> Volume {
        (self.lay_down * area).scaled(self.curve.mean_volume(channel_use))
    }
}

/// The 90 % range of drawn values, which holds the expected one.
fn range(expected: f64, mut drawn: Vec<f64>) -> VolumeRange {
    drawn.sort_by(f64::total_cmp);
    let [low, high] = ENDS.map(|share| quantile(&drawn, share).unwrap_or(expected));
    let volume = |value: f64| Volume::from_millilitres(value).unwrap_or(Volume::ZERO);
    VolumeRange {
        low: volume(low.min(expected)),
        expected: volume(expected),
        high: volume(high.max(expected)),
    }
}

/// The quantile of sorted values, interpolated: definition 7 of Hyndman and Fan, The American
/// Statistician 50 (1996).
pub(crate) fn quantile(sorted: &[f64], share: f64) -> Option<f64> {
    #[expect(clippy::cast_precision_loss, reason = "draws number far fewer than 2^52")]
    let place = share * sorted.len().checked_sub(1)? as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a place within the draws"
    )]
    let below = place.floor() as usize;
    let low = sorted.get(below)?;
    let high = sorted.get(below + 1).unwrap_or(low);
    Some(low + (high - low) * place.fract())
}
