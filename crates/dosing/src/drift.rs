use units::Volume;

use crate::calibrated_dose::quantile;
use crate::fit::volume;
use crate::innovations::Innovations;
use crate::{Calibration, MeasuredJob, Reading};

/// A reading on the control chart of its ink.
#[derive(Clone, Debug, PartialEq)]
pub struct DriftStep {
    /// The job.
    pub job: i64,
    /// Number of the channel; `None` for a total.
    pub channel: Option<usize>,
    /// What was measured.
    pub measured: Volume,
    /// What the calibration and the jobs since predict.
    pub predicted: Volume,
    /// Measured less predicted in standard deviations; the chart takes ± 4 at most.
    pub deviations: f64,
    /// The chart's sums upwards and downwards after the reading, in standard deviations. A signal
    /// is given above 3.5.
    pub sums: [f64; 2],
    /// The signal, if the reading brought the chart over its limit.
    pub signal: Option<DriftSignal>,
}

/// A chart went over its limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DriftSignal {
    /// Which way.
    pub direction: Direction,
    /// How far the readings since the chart last stood at nought are off, in percent of the
    /// prediction.
    pub percent: f64,
    /// Number of readings in which the departure built up.
    pub readings: usize,
}

/// Which way readings depart from their predictions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// More ink than predicted.
    More,
    /// Less ink than predicted.
    Less,
}

/// Slack of the chart in standard deviations: half the departure of two deviations that it is to
/// find soonest.
///
/// Tabular cumulative sums: Page, Biometrika 41 (1954); Montgomery, "Introduction to statistical
/// quality control", chapter 9. By Siegmund's approximation (there, equation 9.6) a chart of both
/// directions with this slack and limit gives a false alarm in some 2,800 readings, so that twelve
/// inks together give one in 235 jobs if the calibration were perfect. A drift of 10 % in readings
/// that scatter by 3 % is three deviations, and found after two readings.
const SLACK: f64 = 1.0;
const LIMIT: f64 = 3.5;
/// A single reading moves the chart by no more than this less the slack, which stays below the
/// limit: one wild record alone is no drift. The thought is Lucas and Crosier's, Communications
/// in Statistics 11 (1982).
const CUT: f64 = 4.0;

/// A prediction below this many steps of the reading says nothing of percents.
const FEWEST_STEPS: f64 = 5.0;

/// The chart of one ink or of the total.
#[derive(Clone, Debug)]
struct Chart {
    known: Innovations,
    sums: [f64; 2],
    /// Since the sum last stood at nought: measured over predicted.
    since: [Vec<f64>; 2],
}

/// Holds jobs, in the order printed, against a calibration: one chart for each ink and one for
/// totals. After a signal a chart begins anew.
///
/// Readings that a calibration was made with don't belong here: they fit by themselves. Jobs
/// without the calibration's channels are passed over.
#[must_use]
pub fn watch(calibration: &Calibration, jobs: &[MeasuredJob]) -> Vec<DriftStep> {
    let channels = calibration.channels.len();
    let mut charts: Vec<Chart> = (0..channels)
        .map(|channel| vec![channel])
        .chain(std::iter::once((0..channels).collect()))
        .map(|inks| Chart::of(Innovations::of(calibration, inks)))
        .collect();
    let mut steps = Vec::new();
    for job in jobs.iter().filter(|job| job.uses.len() == channels) {
        for (channel, measured) in readings(job, channels) {
            steps.extend(charts[channel.unwrap_or(channels)].take(job, channel, measured));
        }
    }
    steps
}

fn readings(job: &MeasuredJob, channels: usize) -> Vec<(Option<usize>, Volume)> {
    match &job.reading {
        Reading::Total(total) => vec![(None, *total)],
        Reading::ByInk(inks) => inks
            .iter()
            .take(channels)
            .enumerate()
            .filter_map(|(channel, volume)| Some((Some(channel), (*volume)?)))
            .collect(),
    }
}

impl Chart {
    const fn of(known: Innovations) -> Self {
        Self { known, sums: [0.0; 2], since: [Vec::new(), Vec::new()] }
    }

    /// Adds a reading; `None` where so little is predicted that rounding rules.
    fn take(
        &mut self,
        job: &MeasuredJob,
        channel: Option<usize>,
        measured: Volume,
    ) -> Option<DriftStep> {
        let innovation = self.known.innovation(job, measured.to_millilitres());
        let step = job.resolution.to_millilitres();
        if innovation.predicted < FEWEST_STEPS * step || innovation.predicted <= 0.0 {
            return None;
        }
        // A wild reading teaches nothing.
        if innovation.deviations.abs() < CUT {
            self.known.learn(&innovation);
        }
        let ratio = measured.to_millilitres() / innovation.predicted;
        let signal = self.add(innovation.deviations.clamp(-CUT, CUT), ratio);
        let told = DriftStep {
            job: job.number,
            channel,
            measured,
            predicted: volume(innovation.predicted),
            deviations: innovation.deviations,
            sums: self.sums,
            signal,
        };
        if signal.is_some() {
            self.sums = [0.0; 2];
            self.since = [Vec::new(), Vec::new()];
        }
        Some(told)
    }

    fn add(&mut self, deviations: f64, ratio: f64) -> Option<DriftSignal> {
        let mut signal = None;
        for (side, sign, direction) in [(0, 1.0, Direction::More), (1, -1.0, Direction::Less)] {
            self.sums[side] = (self.sums[side] + sign * deviations - SLACK).max(0.0);
            if self.sums[side] == 0.0 {
                self.since[side].clear();
            } else {
                self.since[side].push(ratio);
            }
            if self.sums[side] > LIMIT {
                let percent = 100.0 * (median(&self.since[side]) - 1.0);
                signal = Some(DriftSignal { direction, percent, readings: self.since[side].len() });
            }
        }
        signal
    }
}

fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    quantile(&sorted, 0.5).unwrap_or(1.0)
}
