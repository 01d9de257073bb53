//! How well calibrations learn the virtual printer, and how soon charts see it drift.
//!
//! Each case is a hidden device of its own with a calibration from some of its jobs; later jobs
//! of the same device are predicted and compared with what they took. Pictures are parts of the
//! photographs in `testimages`, printed by error diffusion and counted drop by drop, in readings of
//! 0.01 ml with 2 % of noise. Everything follows from the case's number.

use std::fmt::Write;

use clap::Args;
use dosing::{PriorWidths, dose};
use inkfathom_tests::learning::{PrintedJob, Readout, Studio, built, judge, prepared};
use inkfathom_tests::virtual_printer::Dice;
use rayon::prelude::*;
use units::Share;

use crate::bench_error::BenchError;

/// Measure how well calibrations predict, how often ranges hold the truth, and how soon drift shows
///
/// Prints errors, widths and shares as Markdown, for several numbers of jobs, read by ink and in
/// total, and the delay and false alarms of control charts.
#[derive(Debug, Args)]
pub(crate) struct Learning {
    /// Hidden devices with eight jobs read by ink; other rows take a fifth of it
    #[arg(long, value_name = "COUNT", default_value = "5000")]
    cases: u64,
    /// Hidden devices that drift
    #[arg(long, value_name = "COUNT", default_value = "1000")]
    drifts: u64,
    /// Built-in ink set
    #[arg(long, value_name = "NAME", default_value = "five")]
    ink_set: String,
}

/// Later jobs that are predicted of each device.
const LATER: u32 = 20;
const DRAWS: usize = 300;
/// Jobs that are watched before a drift begins and after.
const QUIET: u32 = 100;
const DRIFTING: u32 = 12;
/// A drift is to be seen within so many jobs.
const SOON: usize = 6;

/// What is thrown.
#[derive(Clone, Copy)]
enum Devices {
    Stated,
    Wide,
}

/// What one device gave.
struct Case {
    mean: f64,
    worst: f64,
    half_widths: Vec<f64>,
    held: Vec<bool>,
}

impl Learning {
    /// Simulates, and describes the result.
    pub(crate) fn run(&self) -> Result<String, BenchError> {
        let set = prepared(&self.ink_set);
        let studio = Studio::of(&set);
        let mut text = format!(
            "# Learning\n\n{} pictures on `{}`, {LATER} later jobs of each device. Errors and \
             half-widths are of totals with start-up, in percent.\n\n\
             | devices | number | jobs | read | mean error | of 95 % | worst of {LATER}: median | of 90 % \
             | share ≤ 5 % | half-width: median | range holds the truth, of all {LATER} | of the first |\n\
             |---|--:|--:|---|--:|--:|--:|--:|--:|--:|--:|--:|\n",
            studio.pictures.len(),
            self.ink_set
        );
        for (devices, jobs, readout) in rows() {
            let all = matches!((devices, jobs, readout), (Devices::Stated, 8, Readout::ByInk));
            let cases: Vec<Case> = (0..if all { self.cases } else { self.cases.div_ceil(5) })
                .into_par_iter()
                .map(|seed| case(&studio, devices, jobs, readout, seed))
                .collect();
            line(&mut text, devices, jobs, readout, &cases);
        }
        without_jobs(&mut text, &studio, &set, self.cases);
        drift(&mut text, &studio, self.drifts);
        Ok(text)
    }
}

fn rows() -> Vec<(Devices, u32, Readout)> {
    let counts = [1, 3, 8, 16];
    let readouts = [Readout::ByInk, Readout::Total];
    let stated = readouts.iter().flat_map(|r| counts.map(|n| (Devices::Stated, n, *r)));
    stated.chain(readouts.map(|r| (Devices::Wide, 8, r))).collect()
}

fn case(studio: &Studio, devices: Devices, jobs: u32, readout: Readout, seed: u64) -> Case {
    let mut dice = Dice::new(seed);
    let device = match devices {
        Devices::Stated => studio.device(&mut dice),
        Devices::Wide => studio.wide_device(&mut dice),
    };
    let learned_from = studio.spanning_jobs(&device, jobs, readout, &mut dice);
    let learned = studio.learned(&learned_from, DRAWS, seed).calibration;
    let later: Vec<PrintedJob> = studio.later_jobs(&device, LATER, readout, &mut dice);
    let judged: Vec<_> = later.iter().map(|job| judge(&learned, job)).collect();
    Case {
        mean: judged.iter().map(|job| job.error).sum::<f64>() / f64::from(LATER),
        worst: judged.iter().map(|job| job.error).fold(0.0, f64::max),
        half_widths: judged.iter().map(|job| job.half_width).collect(),
        held: judged.iter().map(|job| job.held).collect(),
    }
}

fn line(text: &mut String, devices: Devices, jobs: u32, readout: Readout, cases: &[Case]) {
    let of = |value: fn(&Case) -> f64| cases.iter().map(value).collect::<Vec<f64>>();
    let widths: Vec<f64> = cases.iter().flat_map(|case| case.half_widths.clone()).collect();
    let held: Vec<bool> = cases.iter().flat_map(|case| case.held.clone()).collect();
    let first: Vec<bool> = cases.iter().filter_map(|case| case.held.first().copied()).collect();
    let soft: Vec<bool> = cases.iter().map(|case| case.worst <= 0.05).collect();
    // Writing to a string can't fail.
    let _ = writeln!(
        text,
        "| {} | {} | {jobs} | {} | {:.2} | {:.2} | {:.2} | {:.2} | {:.1} % | {:.2} | {:.1} % | {:.1} % |",
        match devices {
            Devices::Stated => "± 20 %",
            Devices::Wide => "as wide as the prior",
        },
        cases.len(),
        match readout {
            Readout::ByInk => "by ink",
            Readout::Total => "total",
        },
        100.0 * quantile(of(|case| case.mean), 0.5),
        100.0 * quantile(of(|case| case.mean), 0.95),
        100.0 * quantile(of(|case| case.worst), 0.5),
        100.0 * quantile(of(|case| case.worst), 0.9),
        percent(&soft),
        100.0 * quantile(widths, 0.5),
        percent(&held),
        percent(&first),
    );
}

/// How often the range by nominal values holds the ink of a picture.
fn without_jobs(text: &mut String, studio: &Studio, set: &estimating::PreparedSet, cases: u64) {
    let share = |devices: Devices| {
        let held: Vec<bool> = (0..cases)
            .into_par_iter()
            .map(|seed| {
                let mut dice = Dice::new(seed);
                let device = match devices {
                    Devices::Stated => studio.device(&mut dice),
                    Devices::Wide => studio.wide_device(&mut dice),
                };
                let job = studio.job(&device, 1, 1.0, Readout::Total, &mut dice);
                let means: Vec<Share> = job.record.uses.iter().map(|used| used.mean()).collect();
                let lay_down = built(set).limits().lay_down();
                let widths = PriorWidths::UNCALIBRATED;
                let total = dose(set.set(), &means, lay_down, job.record.area, &widths).total;
                let truth: f64 = job.ink.iter().sum::<f64>() - device.start_up.iter().sum::<f64>();
                (total.low.to_millilitres()..=total.high.to_millilitres()).contains(&truth)
            })
            .collect();
        percent(&held)
    };
    let _ = writeln!(
        text,
        "\nWithout jobs the range of a picture's total holds the truth in {:.1} % of devices within \
         ± 20 %, and in {:.1} % of devices as far off as the stated widths.",
        share(Devices::Stated),
        share(Devices::Wide)
    );
}

fn drift(text: &mut String, studio: &Studio, drifts: u64) {
    let watched: Vec<_> =
        (0..drifts).into_par_iter().map(|seed| studio.watched(seed, QUIET, DRIFTING)).collect();
    let soon: Vec<bool> =
        watched.iter().map(|run| run.signalled_after.is_some_and(|after| after <= SOON)).collect();
    let alarms: usize = watched.iter().map(|run| run.false_alarms).sum();
    let _ = writeln!(
        text,
        "\nA drift of 10 % in one ink is signalled within {SOON} jobs in {:.1} % of {drifts} devices; \
         {:.2} false alarms of any ink in {QUIET} jobs without drift.",
        percent(&soon),
        ratio(alarms, watched.len())
    );
}

fn percent(held: &[bool]) -> f64 {
    100.0 * ratio(held.iter().filter(|held| **held).count(), held.len())
}

#[expect(clippy::cast_precision_loss, reason = "cases number far fewer than 2^52")]
fn ratio(part: usize, whole: usize) -> f64 {
    part as f64 / whole.max(1) as f64
}

/// The value below which a share of the values lies.
fn quantile(mut values: Vec<f64>, share: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a place among the values"
    )]
    let place = (share * values.len() as f64) as usize;
    values.get(place.min(values.len().saturating_sub(1))).copied().unwrap_or_default()
}
