use std::slice;

use inkfathom_ledger::{
    AnswerKind, CountedUpload, Ledger, NewAnswer, NewUpload, Opening, Received, Role, UploadFilter,
    UploadState,
};
use rusqlite::Connection;

use crate::support::{day, job, place};

fn upload(id: &str, owner: i64, key: Option<&str>) -> NewUpload {
    NewUpload {
        id: id.to_owned(),
        owner,
        name: format!("{id}.jpg"),
        bytes: 1234,
        received_at: 1_800_000_000,
        content_hash: [7; 32],
        wish: "{}".to_owned(),
        idempotency_key: key.map(str::to_owned),
    }
}

fn new(ledger: &mut Ledger, upload: &NewUpload) -> i64 {
    match ledger.receive_upload(upload).unwrap() {
        Received::New(number) => number,
        Received::Before(before) => panic!("{before:?} was there before"),
    }
}

fn counted() -> CountedUpload {
    let answer = NewAnswer {
        kind: AnswerKind::Estimate,
        made_at: 1_800_000_001,
        asked: "{}".to_owned(),
        document: "{\"version\": 1}".to_owned(),
    };
    CountedUpload { census: vec![1, 2, 3], facts: "{}".to_owned(), answer: Some(answer) }
}

#[test]
fn a_ledger_of_the_first_form_takes_uploads_and_keeps_its_jobs() {
    let place = place();
    let form_1 = include_str!("../../src/form_1.sql");
    let older = Connection::open(&place.path).unwrap();
    older.execute_batch(form_1).unwrap();
    older.pragma_update(None, "application_id", 0x494E_4B46).unwrap();
    older.pragma_update(None, "user_version", 1).unwrap();
    drop(older);
    let mut ledger = place.open();
    ledger.add_jobs(slice::from_ref(&job("2026-10-01")), day("2026-10-02")).unwrap();
    assert_eq!(new(&mut ledger, &upload("a", 0, None)), 1);
    drop(ledger);
    assert_eq!(place.open().waiting_uploads().unwrap().len(), 1);
}

#[test]
fn an_upload_is_counted_once_with_its_census_and_first_answer() {
    let place = place();
    let mut ledger = place.open();
    let number = new(&mut ledger, &upload("a", 0, None));
    assert!(ledger.finish_upload(number, &counted()).unwrap());
    assert!(!ledger.finish_upload(number, &counted()).unwrap(), "it waited once");
    assert!(!ledger.end_upload(number, UploadState::Failed, "{}").unwrap());
    let stored = ledger.upload("a").unwrap().unwrap();
    assert_eq!((stored.state, stored.facts.as_deref()), (UploadState::Counted, Some("{}")));
    assert_eq!(ledger.census(&[7; 32]).unwrap(), Some(vec![1, 2, 3]));
    let answers = ledger.answers(number).unwrap();
    assert_eq!(answers.len(), 1);
    assert_eq!(ledger.answer(answers[0].number).unwrap().as_ref(), answers.first());
    assert_eq!(ledger.waiting_uploads().unwrap(), []);
}

#[test]
fn an_idempotency_key_names_one_upload_of_its_owner() {
    let place = place();
    let mut ledger = place.open();
    let first = new(&mut ledger, &upload("a", 1, Some("key")));
    let again = ledger.receive_upload(&upload("b", 1, Some("key"))).unwrap();
    assert!(matches!(again, Received::Before(before) if before.number == first));
    new(&mut ledger, &upload("c", 2, Some("key")));
    new(&mut ledger, &upload("d", 1, None));
    new(&mut ledger, &upload("e", 1, None));
}

#[test]
fn a_census_goes_with_the_last_upload_of_its_picture_and_stays_while_one_is_left() {
    let place = place();
    let mut ledger = place.open();
    let [one, other] = ["a", "b"].map(|id| new(&mut ledger, &upload(id, 0, None)));
    ledger.finish_upload(one, &counted()).unwrap();
    ledger.limit_censuses(0).unwrap();
    ledger.keep_census(&[9; 32], &[4]).unwrap();
    ledger.limit_censuses(0).unwrap();
    assert!(ledger.census(&[7; 32]).unwrap().is_some(), "an upload has it");
    assert!(ledger.delete_upload(one).unwrap());
    assert!(ledger.census(&[7; 32]).unwrap().is_some(), "another upload has the same picture");
    assert!(ledger.delete_upload(other).unwrap());
    assert!(ledger.census(&[7; 32]).unwrap().is_none());
    assert_eq!(ledger.answers(one).unwrap(), []);
    assert!(!ledger.delete_upload(one).unwrap());
}

#[test]
fn uploads_are_listed_newest_first_by_owner_name_and_state() {
    let place = place();
    let mut ledger = place.open();
    for (id, owner) in [("fern", 1), ("harbour", 2), ("Harbour-2", 1)] {
        new(&mut ledger, &upload(id, owner, None));
    }
    ledger.end_upload(1, UploadState::Refused, "{}").unwrap();
    let ids = |filter: UploadFilter| -> Vec<String> {
        let found = ledger.uploads(&UploadFilter { most: 9, ..filter }).unwrap();
        found.into_iter().map(|upload| upload.upload.id).collect()
    };
    let any = UploadFilter::default;
    assert_eq!(ids(any()), ["Harbour-2", "harbour", "fern"]);
    assert_eq!(ids(UploadFilter { owner: Some(1), ..any() }), ["Harbour-2", "fern"]);
    assert_eq!(ids(UploadFilter { before: Some(2), ..any() }), ["fern"]);
    let search = Some("HARBOUR".to_owned());
    assert_eq!(ids(UploadFilter { search, ..any() }), ["Harbour-2", "harbour"]);
    assert_eq!(ids(UploadFilter { state: Some(UploadState::Refused), ..any() }), ["fern"]);
}

#[test]
fn a_void_key_opens_nothing_and_its_sessions_end() {
    let place = place();
    let mut ledger = place.open();
    let number = ledger.add_key("shop", Role::Shop, &[1; 32], 100).unwrap();
    ledger.open_session(&[2; 32], number, 100, 200).unwrap();
    assert_eq!(ledger.key_of_hash(&[1; 32]).unwrap().map(|key| key.role), Some(Role::Shop));
    assert!(ledger.key_of_session(&[2; 32], 199).unwrap().is_some());
    assert!(ledger.key_of_session(&[2; 32], 200).unwrap().is_none(), "it has ended");
    assert!(ledger.revoke_key(number, 150).unwrap());
    assert!(!ledger.revoke_key(number, 151).unwrap());
    assert!(ledger.key_of_hash(&[1; 32]).unwrap().is_none());
    assert!(ledger.key_of_session(&[2; 32], 160).unwrap().is_none());
    assert_eq!(ledger.keys().unwrap()[0].revoked_at, Some(150));
}

#[test]
fn the_secret_of_links_is_made_once_and_void_links_are_counted() {
    let place = place();
    let mut ledger = place.open();
    assert_eq!(ledger.link_secret(&[1; 32]).unwrap(), [1; 32]);
    assert_eq!(ledger.link_secret(&[2; 32]).unwrap(), [1; 32]);
    let number = new(&mut ledger, &upload("a", 0, None));
    assert_eq!(ledger.void_links(number).unwrap(), 1);
    assert_eq!(ledger.upload("a").unwrap().unwrap().links, 1);
}

#[test]
fn a_copy_is_whole_and_replaces_nothing() {
    let place = place();
    let mut ledger = place.open();
    new(&mut ledger, &upload("a", 0, None));
    let copy = place.path.with_extension("copy");
    ledger.copy_to(&copy).unwrap();
    let copied = Ledger::open(&copy, Opening::Existing).unwrap();
    assert_eq!(copied.upload("a").unwrap(), ledger.upload("a").unwrap());
    assert!(ledger.copy_to(&copy).is_err());
}
