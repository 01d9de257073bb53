use inkfathom_ledger::{
    Change, JobFilter, LedgerError, Readings, TableFaults, read_job_table, write_job_table,
};

use crate::support::{day, job, ml, place};

#[test]
fn jobs_come_back_as_they_were_added_in_the_order_printed() {
    let mut total = job("2026-11-19");
    total.readings = Readings::Total(ml(3.12));
    let jobs = [job("2026-11-20"), total];
    let mut ledger = place().open();
    assert_eq!(ledger.add_jobs(&jobs, day("2026-11-25")).unwrap(), [1, 2]);
    let listed = ledger.jobs(JobFilter::default()).unwrap();
    assert_eq!(listed.iter().map(|job| job.number).collect::<Vec<_>>(), [2, 1]);
    assert_eq!(listed[0].job, jobs[1]);
    assert_eq!(listed[1].job, jobs[0]);
    let of_nine = JobFilter { ink_set: Some("nine"), ..JobFilter::default() };
    assert!(ledger.jobs(of_nine).unwrap().is_empty());
}

#[test]
fn one_known_job_keeps_all_of_them_out() {
    let mut ledger = place().open();
    ledger.add_jobs(&[job("2026-11-20")], day("2026-11-25")).unwrap();
    let refused =
        ledger.add_jobs(&[job("2026-11-21"), job("2026-11-20")], day("2026-11-25")).unwrap_err();
    assert!(matches!(refused, LedgerError::KnownJob { number: 1, .. }), "{refused}");
    assert_eq!(ledger.jobs(JobFilter::default()).unwrap().len(), 1);
}

#[test]
fn a_correction_keeps_the_value_before_and_a_faulty_one_changes_nothing() {
    let mut ledger = place().open();
    ledger.add_jobs(&[job("2026-11-20")], day("2026-11-20")).unwrap();
    let cyan = |value| Change::Reading(Some("cyan".to_owned()), ml(value));
    ledger.correct(1, &[cyan(1.5), Change::LeftOut(true)], day("2026-11-25"), "misread").unwrap();
    let faulty = [cyan(9.0), Change::Reading(Some("teal".to_owned()), ml(1.0))];
    let refused = ledger.correct(1, &faulty, day("2026-11-25"), "").unwrap_err();
    assert!(
        refused.to_string().contains("no reading of `teal`; it has `cyan`, `yellow`"),
        "{refused}"
    );
    let unknown = ledger.correct(2, &[cyan(1.0)], day("2026-11-25"), "").unwrap_err();
    assert!(matches!(unknown, LedgerError::UnknownJob { number: 2 }), "{unknown}");
    let corrected = ledger.job(1).unwrap();
    assert!(corrected.left_out);
    let Readings::ByInk(inks) = &corrected.job.readings else { panic!("inks were read") };
    assert_eq!(inks[0], ("cyan".to_owned(), ml(1.5)));
    let kept: Vec<_> = ledger.corrections(None).unwrap();
    let said: Vec<_> = kept.iter().map(|c| (&*c.what, &*c.before, &*c.after)).collect();
    assert_eq!(said, [("ml cyan", "1.25", "1.5"), ("left_out", "0", "1")]);
}

#[test]
fn a_written_table_reads_back() {
    let mut ledger = place().open();
    let mut noted = job("2026-11-20");
    noted.note = "two, \"quoted\"; words".to_owned();
    let mut total = job("2026-11-21");
    total.readings = Readings::Total(ml(3.0));
    ledger.add_jobs(&[noted.clone(), total], day("2026-11-25")).unwrap();
    let rows =
        read_job_table(&write_job_table(&ledger.jobs(JobFilter::default()).unwrap())).unwrap();
    assert_eq!(rows.len(), 2);
    assert_eq!(rows[0].note, noted.note);
    assert_eq!(rows[0].readings, noted.readings);
    assert_eq!(rows[0].content_hash.as_deref().unwrap(), "07".repeat(32));
    assert_eq!(rows[1].readings, Readings::Total(ml(3.0)));
}

#[test]
fn no_text_makes_the_table_reader_panic() {
    let header = "date,file,ink_set,measured_by,resolution_ml,total_ml\n";
    for text in ["", "\n", "\u{feff}", ";", ",,,", "\"", "date", "\0\0", header] {
        assert!(read_job_table(text).is_err(), "{text:?}");
    }
    let TableFaults(faults) = read_job_table(header).unwrap_err();
    assert!(faults[0].to_string().contains("no job"), "{}", faults[0]);
}
