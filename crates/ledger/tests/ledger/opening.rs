use std::fs;

use inkfathom_ledger::{JobFilter, Ledger, LedgerError, Opening, Readings};
use rusqlite::Connection;

use crate::support::{day, job, ml, place};

#[test]
fn a_ledger_is_begun_once_and_found_again() {
    let place = place();
    assert!(matches!(
        Ledger::open(&place.path, Opening::Existing),
        Err(LedgerError::Missing { .. })
    ));
    assert!(!place.path.exists());
    place.open().add_jobs(&[job("2026-11-20")], day("2026-11-25")).unwrap();
    let again = Ledger::open(&place.path, Opening::Existing).unwrap();
    assert_eq!(again.jobs(JobFilter::default()).unwrap().len(), 1);
}

#[test]
fn a_ledger_held_by_another_program_is_told_and_left() {
    let place = place();
    let mut ledger = place.open();
    let other = Connection::open(&place.path).unwrap();
    other.execute_batch("BEGIN EXCLUSIVE").unwrap();
    let refused = ledger.add_jobs(&[job("2026-11-20")], day("2026-11-25")).unwrap_err();
    assert!(matches!(refused, LedgerError::Locked { .. }), "{refused}");
    other.execute_batch("ROLLBACK").unwrap();
    assert_eq!(ledger.jobs(JobFilter::default()).unwrap().len(), 0);
    ledger.add_jobs(&[job("2026-11-20")], day("2026-11-25")).unwrap();
}

#[test]
fn a_later_form_and_another_programs_database_are_refused() {
    let place = place();
    drop(place.open());
    let set = |pragma: &str| {
        let connection = Connection::open(&place.path).unwrap();
        connection.execute_batch(&format!("PRAGMA {pragma}")).unwrap();
    };
    set("user_version = 99");
    let newer = Ledger::open(&place.path, Opening::OrNew).unwrap_err();
    assert!(matches!(newer, LedgerError::Newer { found: 99, .. }), "{newer}");
    set("application_id = 7");
    let foreign = Ledger::open(&place.path, Opening::OrNew).unwrap_err();
    assert!(matches!(foreign, LedgerError::Foreign { .. }), "{foreign}");
}

#[test]
fn a_damaged_page_is_told_and_no_panic() {
    let place = place();
    place.open().add_jobs(&[job("2026-11-20")], day("2026-11-25")).unwrap();
    let connection = Connection::open(&place.path).unwrap();
    connection.execute_batch("PRAGMA wal_checkpoint(TRUNCATE)").unwrap();
    drop(connection);
    let mut bytes = fs::read(&place.path).unwrap();
    let middle = bytes.len() / 8;
    bytes[middle..].fill(0xA5);
    fs::write(&place.path, bytes).unwrap();
    let read = Ledger::open(&place.path, Opening::Existing)
        .and_then(|ledger| ledger.jobs(JobFilter::default()));
    assert!(read.is_err());
}

#[test]
fn an_addition_that_fails_halfway_is_undone_as_a_whole() {
    let place = place();
    let mut ledger = place.open();
    ledger.add_jobs(&[job("2026-11-20")], day("2026-11-25")).unwrap();
    drop(ledger);
    let other = Connection::open(&place.path).unwrap();
    other
        .execute_batch(
            "CREATE TRIGGER refuse BEFORE INSERT ON reading WHEN NEW.ml > 100
             BEGIN SELECT RAISE(ABORT, 'no room'); END",
        )
        .unwrap();
    let mut large = job("2026-11-22");
    large.readings = Readings::Total(ml(101.0));
    let mut ledger = place.open();
    let refused = ledger.add_jobs(&[job("2026-11-21"), large], day("2026-11-25")).unwrap_err();
    assert!(refused.to_string().contains("no room"), "{refused}");
    assert_eq!(ledger.jobs(JobFilter::default()).unwrap().len(), 1);
}
