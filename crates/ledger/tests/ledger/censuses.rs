use crate::support::{day, job, place};

#[test]
fn a_census_is_found_by_the_hash_of_its_picture_and_replaced() {
    let place = place();
    let mut ledger = place.open();
    assert_eq!(ledger.census(&[1; 32]).unwrap(), None);
    ledger.keep_census(&[1; 32], b"first").unwrap();
    ledger.keep_census(&[1; 32], b"second").unwrap();
    ledger.keep_census(&[2; 32], b"another").unwrap();
    drop(ledger);
    let ledger = place.open();
    assert_eq!(ledger.census(&[1; 32]).unwrap().unwrap(), b"second");
    assert_eq!(ledger.census(&[2; 32]).unwrap().unwrap(), b"another");
}

#[test]
fn above_their_room_the_oldest_without_a_job_go() {
    let mut ledger = place().open();
    for number in 1..=6 {
        ledger.keep_census(&[number; 32], &[0; 220]).unwrap();
        if number == 1 {
            let mut of_job = job("2026-11-20");
            of_job.content_hash = [1; 32];
            ledger.add_jobs(&[of_job], day("2026-11-25")).unwrap();
        }
    }
    ledger.limit_censuses(1000).unwrap();
    let kept: Vec<u8> =
        (1..=6).filter(|number| ledger.census(&[*number; 32]).unwrap().is_some()).collect();
    assert_eq!(kept, [1, 3, 4, 5, 6]);
}
