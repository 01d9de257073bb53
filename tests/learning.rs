//! What calibrations and control charts learn of a printer that they don't know. The long runs are
//! `learning` of the benches.

#![expect(clippy::unwrap_used, reason = "tests' own functions may panic as tests do")]

use std::fs::File;
use std::num::{NonZeroU32, NonZeroUsize};
use std::sync::LazyLock;

use dosing::{Finding, MeasuredJob, Reading};
use estimating::{CountedPicture, Job, PreparedSet, RenderingChoice, SizeRequest, estimate};
use inkfathom_tests::learning::{Judged, PrintedJob, Readout, Studio, built, judge, prepared};
use inkfathom_tests::repository;
use inkfathom_tests::virtual_printer::{Dice, HiddenDevice, print};
use intake::{Limits, Picture};
use units::{Length, Volume};

static SET: LazyLock<PreparedSet> = LazyLock::new(|| prepared("five"));
static STUDIO: LazyLock<Studio> = LazyLock::new(|| Studio::of(&SET));

/// Draws of a bootstrap: fewer than the product makes, which widens nothing and takes less time.
const DRAWS: usize = 300;

fn opened(name: &str) -> Picture {
    let path = repository().join("testimages/photographs").join(name);
    intake::open(File::open(path).unwrap(), &Limits::default()).unwrap()
}

/// The rule: an ink that carries more than 1 % of the total within 0.5 %.
const CARRIES_INK: f64 = 0.01;
const DROPS_AGREE: f64 = 0.005;

#[test]
fn counted_drops_equal_the_estimate_by_nominal_values() {
    for name in ["tulips.png", "portrait-light-hair.png", "shore.png", "photographer-gray.png"] {
        let drops = print(opened(name), built(&SET), SET.print_mode(), 3);
        let counted = CountedPicture::count(opened(name), None, NonZeroUsize::MIN).unwrap();
        let width = Some(Length::from_inches(drops.width_inches).unwrap());
        let job = Job {
            size: SizeRequest { width, height: None },
            copies: NonZeroU32::MIN,
            rendering: RenderingChoice::Relative,
        };
        let dose = estimate(&counted, &SET, &job).unwrap().dose;
        let printed =
            HiddenDevice::nominal(drops.channels()).picture_ink(&drops, drops.square_metres);
        let total: f64 = printed.iter().sum();
        for (ink, (printed, expected)) in printed.iter().zip(&dose.channels).enumerate() {
            let off = expected.expected.to_millilitres() / printed - 1.0;
            let carries = *printed > CARRIES_INK * total;
            assert!(!carries || off.abs() < DROPS_AGREE, "{name}, ink {ink}: off by {off:+.5}");
        }
    }
}

/// Twenty later jobs of a hidden device, judged after some jobs with areas that span tenfold.
fn judged(seed: u64, jobs: u32, readout: Readout) -> Vec<Judged> {
    let mut dice = Dice::new(seed);
    let device = STUDIO.device(&mut dice);
    let learned_from = STUDIO.spanning_jobs(&device, jobs, readout, &mut dice);
    let learned = STUDIO.learned(&learned_from, DRAWS, seed).calibration;
    let later = STUDIO.later_jobs(&device, 20, readout, &mut dice);
    later.iter().map(|job| judge(&learned, job)).collect()
}

fn mean(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    let count = u32::try_from(values.len()).unwrap();
    values.sum::<f64>() / f64::from(count)
}

fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    sorted[sorted.len() / 2]
}

#[test]
fn eight_jobs_with_each_ink_read_predict_totals_within_two_percent() {
    let studios: Vec<Vec<Judged>> = (0..20).map(|seed| judged(seed, 8, Readout::ByInk)).collect();
    let means: Vec<f64> =
        studios.iter().map(|jobs| mean(jobs.iter().map(|job| job.error))).collect();
    let worst = studios.iter().map(|jobs| jobs.iter().map(|job| job.error).fold(0.0, f64::max));
    assert!(mean(means.iter().copied()) < 0.02, "{means:?}");
    assert!(median(worst.clone()) < 0.05, "{:?}", worst.collect::<Vec<_>>());
    let widths = studios.iter().flatten().map(|job| job.half_width);
    assert!(median(widths.clone()) < 0.06, "{}", median(widths));
}

#[test]
fn eight_totals_predict_totals_within_four_percent() {
    let studios = (0..20).map(|seed| judged(seed, 8, Readout::Total));
    let means: Vec<f64> = studios.map(|jobs| mean(jobs.iter().map(|job| job.error))).collect();
    assert!(mean(means.iter().copied()) < 0.04, "{means:?}");
}

#[test]
fn ninety_percent_ranges_hold_the_truth_in_85_to_95_percent_of_200_cases() {
    let held: Vec<bool> = (100..300).map(|seed| judged(seed, 8, Readout::ByInk)[0].held).collect();
    let share =
        f64::from(u32::try_from(held.iter().filter(|held| **held).count()).unwrap()) / 200.0;
    assert!((0.85..=0.95).contains(&share), "{share}");
}

#[test]
fn without_jobs_the_range_holds_the_truth_in_nine_of_ten_cases_and_stays_within_forty_percent() {
    let counted = CountedPicture::count(opened("tulips.png"), None, NonZeroUsize::MIN).unwrap();
    let drops = print(opened("tulips.png"), built(&SET), SET.print_mode(), 2);
    let width = Some(Length::from_inches(drops.width_inches).unwrap());
    let job = Job {
        size: SizeRequest { width, height: None },
        copies: NonZeroU32::MIN,
        rendering: RenderingChoice::Relative,
    };
    let dose = estimate(&counted, &SET, &job).unwrap().dose;
    for range in dose.channels.iter().chain([&dose.total]) {
        let [low, expected, high] =
            [range.low, range.expected, range.high].map(|volume| volume.to_millilitres());
        assert!(high <= 1.4 * expected && low >= 0.6 * expected);
    }
    let held = (0..200).filter(|seed| {
        let device = STUDIO.device(&mut Dice::new(*seed));
        let truth: f64 = device.picture_ink(&drops, drops.square_metres).iter().sum();
        (dose.total.low.to_millilitres()..=dose.total.high.to_millilitres()).contains(&truth)
    });
    assert!(held.count() >= 180);
}

#[test]
fn a_drift_of_ten_percent_in_one_ink_is_signalled_within_six_jobs() {
    let watched: Vec<_> = (0..100).map(|seed| STUDIO.watched(seed, 100, 6)).collect();
    let signalled = watched.iter().filter(|run| run.signalled_after.is_some()).count();
    let false_alarms: usize = watched.iter().map(|run| run.false_alarms).sum();
    assert!(signalled >= 90, "{signalled} of 100 drifts");
    assert!(false_alarms <= 100, "{false_alarms} false alarms in 100 × 100 jobs");
}

/// Jobs of one hidden device.
fn jobs(seed: u64, readout: Readout) -> Vec<PrintedJob> {
    let mut dice = Dice::new(seed);
    let device = STUDIO.device(&mut dice);
    STUDIO.spanning_jobs(&device, 8, readout, &mut dice)
}

/// The ink of a job that was read most of.
fn fullest(record: &MeasuredJob) -> usize {
    let Reading::ByInk(inks) = &record.reading else { panic!("inks were read") };
    let read = |ink: &usize| inks[*ink].unwrap().to_millilitres();
    (0..inks.len()).max_by(|one, other| read(one).total_cmp(&read(other))).unwrap()
}

#[test]
fn wild_readings_are_named_and_do_no_harm() {
    for (seed, factor) in [(1, 10.0), (2, 0.1), (3, 1.5), (4, 0.0)] {
        let sound = jobs(seed, Readout::ByInk);
        let mut wild = sound.clone();
        let ink = fullest(&wild[5].record);
        if let Reading::ByInk(inks) = &mut wild[5].record.reading {
            inks[ink] = inks[ink].map(|volume: Volume| volume.scaled(factor));
        }
        let name = STUDIO.prior.channels[ink].name.clone();
        let fit = STUDIO.learned(&wild, DRAWS, seed);
        let named = fit.findings.iter().any(|finding| {
            matches!(finding, Finding::WildReading { job: 6, ink: Some(ink), .. } if *ink == name)
        });
        assert!(named, "× {factor}: {:?}", fit.findings);
        let without = STUDIO.learned(&sound, DRAWS, seed);
        let lay_down = |fit: &dosing::Fit| {
            fit.calibration.channels[ink].lay_down.to_millilitres_per_square_metre()
        };
        // One reading of eight is lost.
        assert!((lay_down(&fit) / lay_down(&without) - 1.0).abs() < 0.06, "× {factor}");
    }
}

#[test]
fn jobs_of_one_size_are_said_not_to_tell_start_up_from_lay_down() {
    let mut dice = Dice::new(5);
    let device = STUDIO.device(&mut dice);
    let alike: Vec<PrintedJob> =
        (1..=8).map(|number| STUDIO.job(&device, number, 0.5, Readout::ByInk, &mut dice)).collect();
    let said = |jobs: &[PrintedJob]| {
        let findings = STUDIO.learned(jobs, DRAWS, 5).findings;
        findings.iter().any(|finding| matches!(finding, Finding::AreasTooAlike { .. }))
    };
    assert!(said(&alike));
    assert!(!said(&jobs(5, Readout::ByInk)));
}

#[test]
fn totals_alone_are_said_to_tell_little_of_single_inks() {
    let findings = STUDIO.learned(&jobs(6, Readout::Total), DRAWS, 6).findings;
    assert!(
        findings.iter().any(|finding| matches!(finding, Finding::TotalsOnly { .. })),
        "{findings:?}"
    );
}

#[test]
fn the_same_jobs_and_seed_give_the_same_calibration() {
    let jobs = jobs(7, Readout::ByInk);
    assert_eq!(STUDIO.learned(&jobs, DRAWS, 7), STUDIO.learned(&jobs, DRAWS, 7));
}

#[test]
fn more_jobs_never_come_with_wider_ranges_on_the_whole() {
    let width = |count| {
        median(
            (0..10).flat_map(|seed| judged(seed, count, Readout::ByInk)).map(|job| job.half_width),
        )
    };
    let widths = [1, 3, 8, 16].map(width);
    assert!(widths.is_sorted_by(|fewer, more| fewer >= more), "{widths:?}");
}
