use super::{Dice, PrintedDrops};

/// What a device does and nobody is told.
#[derive(Clone, Debug)]
pub struct HiddenDevice {
    /// True over nominal drop volume, by channel.
    pub lay_down: Vec<f64>,
    /// Exponent of the volume curve, by channel: the volume at a coverage is its power.
    pub curve: Vec<f64>,
    /// Millilitres of a channel at the start of each job.
    pub start_up: Vec<f64>,
    /// Relative noise of each channel's ink, one standard deviation.
    pub noise: f64,
}

/// Below this coverage volume curves stay as they are: a fifth of a percent is one drop here and
/// there.
const FAINTEST: f64 = 0.002;

impl HiddenDevice {
    /// A device as nominal as it gets.
    #[must_use]
    pub fn nominal(channels: usize) -> Self {
        Self {
            lay_down: vec![1.0; channels],
            curve: vec![1.0; channels],
            start_up: vec![0.0; channels],
            noise: 0.0,
        }
    }

    /// A device with lay-downs up to 20 % off, volume curves of powers 0.85 to 1.2, up to a
    /// millilitre of each ink at the start, and 2 % of noise.
    pub fn thrown(channels: usize, dice: &mut Dice) -> Self {
        let mut of_each =
            |low, high| (0..channels).map(|_| dice.between(low, high)).collect::<Vec<f64>>();
        Self {
            lay_down: of_each(0.8, 1.2),
            curve: of_each(0.85, 1.2),
            start_up: of_each(0.05, 1.0),
            noise: 0.02,
        }
    }

    /// A device as far off as the product's stated widths allow: lay-downs of all channels
    /// together by 20 % and of each by 10 % in nine of ten cases, curves that are 22 % off at a
    /// coverage of 0.3, and up to two millilitres at the start.
    pub fn thrown_widely(channels: usize, dice: &mut Dice) -> Self {
        // Half-widths of nine of ten cases on a logarithmic scale: ln 1.2, ln 1.1 and ln 1.22, the
        // last at the logarithm of 0.3.
        let common = 0.111 * dice.normal();
        Self {
            lay_down: (0..channels).map(|_| (common + 0.058 * dice.normal()).exp()).collect(),
            curve: (0..channels).map(|_| (0.1 * dice.normal()).exp()).collect(),
            start_up: (0..channels).map(|_| (1.2 * dice.normal()).max(0.0)).collect(),
            noise: 0.02,
        }
    }

    /// Millilitres of each channel that a print takes over an area, without noise and start-up.
    #[must_use]
    pub fn picture_ink(&self, print: &PrintedDrops, square_metres: f64) -> Vec<f64> {
        let scale = square_metres / print.square_metres;
        (0..print.channels())
            .map(|channel| {
                let bend = self.curve[channel] - 1.0;
                // Diffused error also fires on bare cells, where a power would have no bound.
                let factor =
                    |coverage: f64| self.lay_down[channel] * coverage.max(FAINTEST).powf(bend);
                scale * print.millilitres(channel, factor)
            })
            .collect()
    }

    /// What a job takes of each channel, with noise and start-up: what the machine would count
    /// before it rounds. Channels of no use stay at rest.
    pub fn job_ink(&self, print: &PrintedDrops, square_metres: f64, dice: &mut Dice) -> Vec<f64> {
        let picture = self.picture_ink(print, square_metres);
        picture
            .into_iter()
            .zip(&self.start_up)
            .map(|(picture, start_up)| {
                ((picture + start_up) * (1.0 + self.noise * dice.normal())).max(0.0)
            })
            .collect()
    }
}

/// A reading to a hundredth of a millilitre.
#[must_use]
pub fn rounded(millilitres: f64) -> f64 {
    (millilitres * 100.0).round() / 100.0
}
