use crate::channel_use::{BOUNDS, PIECES};
use crate::{CalibratedChannel, Calibration, ChannelUse, MeasuredJob};

/// What is known of the inks behind one chart, and how sure: begins with a calibration and learns
/// from every reading that is not wild.
///
/// A calibration from a few jobs is itself off, by the same amount in every job to come. On a chart
/// that would look like drift: 1.0 false alarms in 100 jobs were counted so, and a third of the
/// drifts were found late. The departures of readings from a prediction that has learned from all
/// readings before are independent of each other: they are the innovations of Kalman, Journal of
/// Basic Engineering 82 (1960), for values that don't change.
#[derive(Clone, Debug)]
pub(crate) struct Innovations {
    channels: Vec<usize>,
    values: Vec<f64>,
    covariance: Vec<Vec<f64>>,
    scatter_squared: f64,
}

/// A reading against its prediction.
pub(crate) struct Innovation {
    pub(crate) predicted: f64,
    /// Standard deviations.
    pub(crate) deviations: f64,
    /// How far each value moves for a millilitre more than predicted.
    gain: Vec<f64>,
    row: Vec<f64>,
    departure: f64,
}

/// Values of a channel: ml/m² of each piece of its volume curve, ml at the start.
const VALUES: usize = PIECES + 1;

impl Innovations {
    /// Begins with what a calibration knows of some channels.
    pub(crate) fn of(calibration: &Calibration, channels: Vec<usize>) -> Self {
        let of_draw = |all: &[CalibratedChannel]| -> Vec<f64> {
            channels.iter().flat_map(|&channel| values(&all[channel])).collect()
        };
        let best = of_draw(&calibration.channels);
        let drawn: Vec<Vec<f64>> =
            calibration.draws.iter().map(|draw| of_draw(&draw.channels)).collect();
        let squares = calibration.draws.iter().map(|draw| draw.scatter.to_fraction().powi(2));
        Self {
            covariance: covariance(&drawn, best.len()),
            scatter_squared: mean(squares.collect()),
            values: best,
            channels,
        }
    }

    /// Holds a reading against what is known before it.
    pub(crate) fn innovation(&self, job: &MeasuredJob, measured: f64) -> Innovation {
        let row = self.row(job);
        let parts = row.chunks(VALUES).zip(self.values.chunks(VALUES));
        let volumes: Vec<f64> = parts.map(|(row, values)| product(row, values)).collect();
        let predicted: f64 = volumes.iter().sum();
        let relative: f64 = volumes.iter().map(|volume| volume * volume).sum();
        let rounding = job.resolution.to_millilitres().powi(2) / 12.0;
        let spread: Vec<f64> = self.covariance.iter().map(|line| product(line, &row)).collect();
        let variance = (self.scatter_squared * relative + rounding + product(&row, &spread))
            .max((LEAST_DEVIATION * predicted).powi(2))
            .max(f64::MIN_POSITIVE);
        let departure = measured - predicted;
        Innovation {
            predicted,
            deviations: departure / variance.sqrt(),
            gain: spread.iter().map(|value| value / variance).collect(),
            row,
            departure,
        }
    }

    /// Learns from a reading.
    pub(crate) fn learn(&mut self, innovation: &Innovation) {
        let Innovation { gain, row, departure, .. } = innovation;
        let spread: Vec<f64> = self.covariance.iter().map(|line| product(line, row)).collect();
        for (i, by) in gain.iter().enumerate() {
            self.values[i] += by * departure;
            for (j, value) in spread.iter().enumerate() {
                self.covariance[i][j] -= by * value;
            }
        }
    }

    /// What each value contributes to a reading of the job.
    fn row(&self, job: &MeasuredJob) -> Vec<f64> {
        let area = job.area.to_square_metres();
        let start = if job.includes_start_up { 1.0 } else { 0.0 };
        let of_channel = |channel: usize| -> [f64; VALUES] {
            let used = job.uses.get(channel).copied().unwrap_or(ChannelUse::NONE);
            std::array::from_fn(|kind| {
                used.pieces.get(kind).map_or(start, |p| area * p.to_fraction())
            })
        };
        self.channels.iter().flat_map(|&channel| of_channel(channel)).collect()
    }
}

/// A tenth of a percent: no reading is better. Our choice.
const LEAST_DEVIATION: f64 = 0.001;

fn values(channel: &CalibratedChannel) -> [f64; VALUES] {
    let lay_down = channel.lay_down.to_millilitres_per_square_metre();
    let [at_10, at_40] = channel.curve.volumes().map(|volume| volume.to_fraction());
    let rises = [at_10, at_40 - at_10, 1.0 - at_40];
    let start_up = channel.start_up.to_millilitres();
    std::array::from_fn(|kind| match rises.get(kind) {
        Some(rise) => lay_down * rise / (BOUNDS[kind + 1] - BOUNDS[kind]),
        None => start_up,
    })
}

fn covariance(drawn: &[Vec<f64>], size: usize) -> Vec<Vec<f64>> {
    let means: Vec<f64> =
        (0..size).map(|i| mean(drawn.iter().map(|values| values[i]).collect())).collect();
    let between = |i: usize, j: usize| {
        mean(drawn.iter().map(|values| (values[i] - means[i]) * (values[j] - means[j])).collect())
    };
    (0..size).map(|i| (0..size).map(|j| between(i, j)).collect()).collect()
}

#[expect(clippy::needless_pass_by_value, reason = "called with lists made for it")]
fn mean(values: Vec<f64>) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "draws number far fewer than 2^52")]
    let count = values.len().max(1) as f64;
    values.iter().sum::<f64>() / count
}

fn product(one: &[f64], other: &[f64]) -> f64 {
    one.iter().zip(other).map(|(a, b)| a * b).sum()
}
