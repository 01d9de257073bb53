use std::num::NonZeroU32;
use std::path::PathBuf;

use inkfathom_ledger::{CalendarDate, Includes, Job, Ledger, MeasuredBy, Opening, Readings};
use tempfile::{TempDir, tempdir};
use units::{Length, Volume};

/// A place for a ledger.
pub(crate) struct Place {
    pub(crate) path: PathBuf,
    _folder: TempDir,
}

pub(crate) fn place() -> Place {
    let folder = tempdir().unwrap();
    Place { path: folder.path().join("ledger.sqlite"), _folder: folder }
}

impl Place {
    pub(crate) fn open(&self) -> Ledger {
        Ledger::open(&self.path, Opening::OrNew).unwrap()
    }
}

pub(crate) fn day(text: &str) -> CalendarDate {
    text.parse().unwrap()
}

pub(crate) fn ml(value: f64) -> Volume {
    Volume::from_millilitres(value).unwrap()
}

pub(crate) fn job(date: &str) -> Job {
    Job {
        printed_on: day(date),
        picture: "harbour.png".to_owned(),
        content_hash: [7; 32],
        ink_set: "five".to_owned(),
        fingerprint: "f".to_owned(),
        substrate: "paper".to_owned(),
        print_mode: "standard".to_owned(),
        rendering: "relative".to_owned(),
        policy: String::new(),
        width: Length::from_millimetres(600.0).unwrap(),
        height: Length::from_millimetres(400.0).unwrap(),
        copies: NonZeroU32::MIN,
        measured_by: MeasuredBy::MachineCount,
        resolution: ml(0.01),
        includes: Includes { start_up: true, ..Includes::default() },
        readings: Readings::ByInk(vec![
            ("cyan".to_owned(), ml(1.25)),
            ("yellow".to_owned(), ml(0.5)),
        ]),
        note: String::new(),
    }
}
