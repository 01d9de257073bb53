use dosing::{CalibratedChannel, Calibration, Draw, LeaveOneOut, VolumeCurve};
use inkfathom_ledger::{CalibrationLabel, LedgerError, StoredCalibration};
use units::{LayDown, Share};

use crate::support::{day, job, ml, place};

fn share(value: f64) -> Share {
    Share::from_fraction(value).unwrap()
}

fn channel(lay_down: f64) -> CalibratedChannel {
    CalibratedChannel {
        lay_down: LayDown::from_millilitres_per_square_metre(lay_down).unwrap(),
        curve: VolumeCurve::from_volumes([share(0.11), share(0.43)]).unwrap(),
        start_up: ml(0.3),
    }
}

fn stored(name: &str, lay_down: f64) -> StoredCalibration {
    let channels = vec![channel(lay_down), channel(8.0)];
    let draw = |shift: f64| Draw {
        channels: vec![channel(lay_down + shift), channel(8.0 - shift)],
        scatter: share(0.02 + shift),
    };
    StoredCalibration {
        label: CalibrationLabel { name: name.parse().unwrap(), version: 0 },
        fitted_on: day("2026-11-25"),
        program: "test".to_owned(),
        ink_set: "two".to_owned(),
        fingerprint: "f".to_owned(),
        print_mode: "standard".to_owned(),
        inks: vec!["cyan".to_owned(), "yellow".to_owned()],
        calibration: Calibration {
            channels,
            scatter: share(0.02),
            draws: vec![draw(0.0), draw(1.0 / 3.0)],
            jobs: 1,
        },
        leave_one_out: Some(LeaveOneOut { mean: share(0.01), worst: share(0.02), worst_job: 1 }),
        job_numbers: vec![1],
        findings: vec!["areas too alike".to_owned(), "another".to_owned()],
        active: false,
    }
}

#[test]
fn versions_are_kept_to_the_last_bit_and_the_latest_is_active() {
    let mut ledger = place().open();
    ledger.add_jobs(&[job("2026-11-20")], day("2026-11-25")).unwrap();
    assert_eq!(ledger.active_calibration("two", "standard").unwrap(), None);
    for (version, lay_down) in [(1, 9.1), (2, 9.2)] {
        let label = ledger.keep_calibration(&stored("harbour", lay_down)).unwrap();
        assert_eq!(label.to_string(), format!("harbour.{version}"));
        let active = ledger.active_calibration("two", "standard").unwrap().unwrap();
        assert_eq!(
            active,
            StoredCalibration { label, active: true, ..stored("harbour", lay_down) }
        );
    }
    assert_eq!(ledger.calibration("harbour").unwrap().label.version, 2);
    assert!(!ledger.calibration("harbour.1").unwrap().active);
    assert_eq!(ledger.active_calibration("two", "draft").unwrap(), None);
    ledger.use_calibration("harbour.1").unwrap();
    assert!(ledger.calibration("harbour.1").unwrap().active);
    assert_eq!(ledger.calibrations().unwrap().iter().filter(|one| one.active).count(), 1);
}

#[test]
fn an_unknown_calibration_is_refused_with_those_that_exist() {
    let mut ledger = place().open();
    ledger.add_jobs(&[job("2026-11-20")], day("2026-11-25")).unwrap();
    ledger.keep_calibration(&stored("harbour", 9.0)).unwrap();
    for name in ["harbor", "harbour.2", "harbour.x", "harbour.", ""] {
        let refused = ledger.calibration(name).unwrap_err();
        assert!(matches!(refused, LedgerError::UnknownCalibration { .. }), "{name}: {refused}");
        assert!(refused.to_string().contains("there are harbour.1"), "{refused}");
    }
    for name in ["", "a.b", "line\nbreak", &"x".repeat(61)] {
        let refused = name.parse::<inkfathom_ledger::CalibrationName>().unwrap_err();
        assert!(matches!(refused, LedgerError::CalibrationName { .. }), "{refused}");
    }
}
