use inkfathom_ledger::{
    AnswerKind, CountedUpload, FigurePlaces, Ledger, NewAnswer, NewUpload, Received, UploadState,
};

use crate::support::place;

const PLACES: FigurePlaces<'static> = FigurePlaces { area_m2: "$.area", ink_ml: "$.ink.total" };
/// 31 October 2026 at 23:59:59, in universal time.
const LAST_OF_OCTOBER: u64 = 1_793_491_199;

fn received(ledger: &mut Ledger, id: &str, received_at: u64) -> i64 {
    let upload = NewUpload {
        id: id.to_owned(),
        owner: 0,
        name: format!("{id}.jpg"),
        bytes: 1,
        received_at,
        content_hash: [1; 32],
        wish: "{}".to_owned(),
        idempotency_key: None,
    };
    match ledger.receive_upload(&upload).unwrap() {
        Received::New(number) => number,
        Received::Before(before) => panic!("{before:?} was there before"),
    }
}

fn counted(ledger: &mut Ledger, number: i64, document: Option<&str>) {
    let answer = document.map(|document| NewAnswer {
        kind: AnswerKind::Estimate,
        made_at: 1,
        asked: "{}".to_owned(),
        document: document.to_owned(),
    });
    let counted = CountedUpload { census: vec![1], facts: "{}".to_owned(), answer };
    assert!(ledger.finish_upload(number, &counted).unwrap());
}

#[test]
fn uploads_are_summed_by_their_month_with_first_answers_alone() {
    let place = place();
    let mut ledger = place.open();
    let first = received(&mut ledger, "a", LAST_OF_OCTOBER);
    counted(&mut ledger, first, Some(r#"{"area": 0.5, "ink": {"total": 3.25}}"#));
    let further = NewAnswer {
        kind: AnswerKind::Estimate,
        made_at: 2,
        asked: "{}".to_owned(),
        document: r#"{"area": 9, "ink": {"total": 99}}"#.to_owned(),
    };
    ledger.keep_answer(first, &further).unwrap();
    let second = received(&mut ledger, "b", LAST_OF_OCTOBER);
    counted(&mut ledger, second, Some(r#"{"area": 0.25, "ink": {"total": 1.5}}"#));
    let sizeless = received(&mut ledger, "c", LAST_OF_OCTOBER + 1);
    counted(&mut ledger, sizeless, None);
    let refused = received(&mut ledger, "d", LAST_OF_OCTOBER + 2);
    ledger.end_upload(refused, UploadState::Refused, "{}").unwrap();

    let months = ledger.upload_months(PLACES, 24).unwrap();
    let counts: Vec<(&str, [u64; 4])> = months
        .iter()
        .map(|month| {
            let counts = [month.uploads, month.counted, month.refused, month.answered];
            (month.month.as_str(), counts)
        })
        .collect();
    assert_eq!(counts, [("2026-11", [2, 1, 1, 0]), ("2026-10", [2, 2, 0, 2])]);
    // All of these are sums of binary fractions.
    assert_eq!(months[1].area.to_square_metres(), 0.75);
    assert_eq!(months[1].ink.to_millilitres(), 4.75);
    assert_eq!(months[0].ink.to_millilitres(), 0.0);
    assert_eq!(ledger.upload_months(PLACES, 1).unwrap().len(), 1);
}
