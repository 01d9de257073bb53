//! What calibrations must do with readings that are known exactly. How they fare with a printer
//! that they don't know stands in `tests/learning.rs` of the repository.

#![expect(clippy::unwrap_used, reason = "tests' own functions may panic as tests do")]

use inkfathom_dosing::{
    Bootstrap, CalibrationPrior, ChannelUse, DosingError, Finding, Fit, MeasuredJob,
    NominalChannel, PriorWidths, Reading, fit, watch,
};
use proptest::prelude::*;
use units::{Area, LayDown, Share, Volume};

const NOMINAL: f64 = 8.0;

fn prior() -> CalibrationPrior {
    let channel = |name: &str, light| NominalChannel {
        name: name.to_owned(),
        lay_down: LayDown::from_millilitres_per_square_metre(NOMINAL).unwrap(),
        start_up: Volume::ZERO,
        light,
        idle: false,
    };
    CalibrationPrior {
        channels: vec![channel("cyan", false), channel("light cyan", true)],
        widths: PriorWidths::UNCALIBRATED,
    }
}

fn ml(value: f64) -> Volume {
    Volume::from_millilitres(value).unwrap()
}

fn uses(pieces: [f64; 3]) -> ChannelUse {
    ChannelUse { pieces: pieces.map(|piece| Share::from_fraction(piece).unwrap()) }
}

/// A job with straight curves, lay-downs by these factors and 0.5 ml at the start of each ink.
fn job(number: i64, square_metres: f64, factors: [f64; 2]) -> MeasuredJob {
    let mix = f64::from(u8::try_from(number % 5).unwrap()) / 10.0;
    let pieces = [[0.06, 0.05 + mix / 4.0, mix / 2.0], [0.08, 0.2 - mix / 4.0, 0.3 - mix / 2.0]];
    let read = pieces.iter().zip(factors).map(|(pieces, factor)| {
        let mean: f64 = pieces.iter().sum();
        Some(ml(NOMINAL * factor * square_metres * mean + 0.5))
    });
    MeasuredJob {
        number,
        uses: pieces.map(uses).to_vec(),
        area: Area::from_square_metres(square_metres).unwrap(),
        reading: Reading::ByInk(read.collect()),
        resolution: ml(0.001),
        includes_start_up: true,
    }
}

fn jobs(count: i64, factors: [f64; 2]) -> Vec<MeasuredJob> {
    let area = |number: i64| 0.2 * 1.35_f64.powi(i32::try_from(number).unwrap());
    (1..=count).map(|number| job(number, area(number), factors)).collect()
}

fn fitted(jobs: &[MeasuredJob]) -> Fit {
    fit(&prior(), jobs, Bootstrap { draws: 200, seed: 1 }).unwrap()
}

/// What the prior still pulls on after twelve readings.
const PULL_OF_PRIOR: f64 = 0.02;

#[test]
fn exact_readings_give_back_lay_down_and_start_up() {
    let calibration = fitted(&jobs(12, [1.15, 0.85])).calibration;
    for (channel, factor) in calibration.channels.iter().zip([1.15, 0.85]) {
        let lay_down = channel.lay_down.to_millilitres_per_square_metre() / NOMINAL;
        assert!((lay_down / factor - 1.0).abs() < PULL_OF_PRIOR, "{lay_down}");
        assert!((channel.start_up.to_millilitres() - 0.5).abs() < PULL_OF_PRIOR, "{channel:?}");
    }
    assert_eq!(calibration.jobs, 12);
}

#[test]
fn a_range_holds_its_expected_value_and_narrows_with_jobs() {
    let width = |count| {
        let dose = fitted(&jobs(count, [1.1, 0.9]))
            .calibration
            .dose(&jobs(1, [1.0, 1.0])[0].uses, Area::from_square_metres(1.0).unwrap());
        for range in dose.picture.channels.iter().chain([&dose.picture.total, &dose.job_total]) {
            assert!(range.low <= range.expected && range.expected <= range.high);
        }
        dose.picture.total.high.to_millilitres() - dose.picture.total.low.to_millilitres()
    };
    let widths = [1, 3, 6, 12].map(width);
    assert!(widths.is_sorted_by(|fewer, more| fewer > more), "{widths:?}");
}

#[test]
fn twice_the_area_takes_twice_the_ink_and_no_ink_takes_none() {
    let calibration = fitted(&jobs(6, [1.1, 0.9])).calibration;
    let used = &jobs(2, [1.0, 1.0])[1].uses;
    let total = |square_metres| {
        let area = Area::from_square_metres(square_metres).unwrap();
        calibration.dose(used, area).picture.total.expected.to_millilitres()
    };
    assert!((total(2.0) / total(1.0) - 2.0).abs() < 1e-12);
    let bare = calibration.dose(&[ChannelUse::NONE; 2], Area::from_square_metres(1.0).unwrap());
    assert_eq!(bare.picture.total.high, Volume::ZERO);
}

#[test]
fn without_jobs_or_with_other_channels_there_is_no_calibration() {
    assert_eq!(fit(&prior(), &[], Bootstrap::default()), Err(DosingError::NoJobs));
    let mut stray = job(1, 1.0, [1.0, 1.0]);
    stray.uses.pop();
    let refused = fit(&prior(), &[stray], Bootstrap::default()).unwrap_err();
    assert_eq!(refused, DosingError::ChannelMismatch { job: 1, channels: 2 });
}

#[test]
fn one_job_leaves_curves_nominal_and_says_so() {
    let findings = fitted(&jobs(1, [1.1, 0.9])).findings;
    let said: Vec<String> = findings.iter().map(ToString::to_string).collect();
    assert!(
        said.iter().any(|text| text.contains("volume curve stays near its nominal value")),
        "{said:?}"
    );
    assert!(findings.iter().any(|one| matches!(one, Finding::AreasTooAlike { .. })), "{said:?}");
}

#[test]
fn one_wild_reading_alone_is_no_drift() {
    let calibration = fitted(&jobs(8, [1.1, 0.9])).calibration;
    let mut later = jobs(12, [1.1, 0.9]);
    if let Reading::ByInk(inks) = &mut later[5].reading {
        inks[0] = Some(ml(99.0));
    }
    assert!(watch(&calibration, &later).iter().all(|step| step.signal.is_none()));
}

proptest! {
    #[test]
    fn any_readings_give_finite_values_in_their_ranges(
        readings in prop::collection::vec((0.0..1000.0, 0.0..1000.0, 0.001..50.0), 1..6),
    ) {
        let jobs: Vec<MeasuredJob> = (1..)
            .zip(&readings)
            .map(|(number, &(cyan, light, area))| {
                let mut job = job(number, area, [1.0, 1.0]);
                job.reading = Reading::ByInk(vec![Some(ml(cyan)), Some(ml(light))]);
                job
            })
            .collect();
        let calibration = fit(&prior(), &jobs, Bootstrap { draws: 20, seed: 1 }).unwrap().calibration;
        let dose = calibration.dose(&jobs[0].uses, jobs[0].area);
        let total = dose.job_total;
        prop_assert!(total.low <= total.expected && total.expected <= total.high);
        prop_assert!(total.high.to_millilitres().is_finite());
    }
}
