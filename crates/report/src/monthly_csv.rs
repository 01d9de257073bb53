use serde::Serialize;

#[cfg(feature = "parquet")]
use crate::parquet_form::{Column, Kind};
use crate::wire_monthly::{Job, OnSet, PaybackDocument, RoutingDocument, Sensitivity, Total};

/// A job on a set, a total, or a failed job.
#[derive(Default, Serialize)]
struct RoutingRow<'document> {
    row: &'static str,
    name: &'document str,
    ink_set: &'document str,
    copies_per_month: Option<u32>,
    area_m2: Option<f64>,
    ink_ml: Option<f64>,
    ink_ml_low: Option<f64>,
    ink_ml_high: Option<f64>,
    cost: &'document str,
    currency: &'document str,
    holds: Option<bool>,
    sent_here: Option<bool>,
    jobs_not_held: Option<usize>,
    error: &'document str,
}

/// One change of the sensitivity table.
#[derive(Default, Serialize)]
struct PaybackRow<'document> {
    have: &'document str,
    buy: &'document str,
    old_machine: &'document str,
    price: &'document str,
    currency: &'document str,
    change: &'document str,
    to: Option<f64>,
    jobs_moved: usize,
    jobs_not_held: usize,
    saving: &'document str,
    saving_low: &'document str,
    saving_high: &'document str,
    status: &'document str,
    months: Option<f64>,
    months_at_least_saving: Option<f64>,
    months_at_most_saving: Option<f64>,
}

/// The columns of a routing with what they hold, for typed forms.
#[cfg(feature = "parquet")]
pub(crate) const ROUTING_COLUMNS: [Column; 14] = {
    use Kind::{Amount, Count, Flag, Number, Text};
    [
        ("row", Text),
        ("name", Text),
        ("ink_set", Text),
        ("copies_per_month", Count),
        ("area_m2", Number),
        ("ink_ml", Number),
        ("ink_ml_low", Number),
        ("ink_ml_high", Number),
        ("cost", Amount),
        ("currency", Text),
        ("holds", Flag),
        ("sent_here", Flag),
        ("jobs_not_held", Count),
        ("error", Text),
    ]
};

/// The columns of a payback with what they hold, for typed forms.
#[cfg(feature = "parquet")]
pub(crate) const PAYBACK_COLUMNS: [Column; 16] = {
    use Kind::{Amount, Count, Number, Text};
    [
        ("have", Text),
        ("buy", Text),
        ("old_machine", Text),
        ("price", Amount),
        ("currency", Text),
        ("change", Text),
        ("to", Number),
        ("jobs_moved", Count),
        ("jobs_not_held", Count),
        ("saving", Amount),
        ("saving_low", Amount),
        ("saving_high", Amount),
        ("status", Text),
        ("months", Number),
        ("months_at_least_saving", Number),
        ("months_at_most_saving", Number),
    ]
};

/// The rows of a routing.
pub(crate) fn routing(document: &RoutingDocument) -> impl Iterator<Item = impl Serialize> {
    let month = &document.month;
    let jobs = month.jobs.iter().flat_map(|job| job.on.iter().map(move |on| of_job(job, on)));
    let totals = month.all_on.iter().chain([&month.routed]).map(of_total);
    let failed = document.failed.iter().map(|failed| RoutingRow {
        row: "failed",
        name: &failed.file,
        error: &failed.error,
        ..RoutingRow::default()
    });
    let rows = jobs.chain(totals).chain(failed);
    rows.map(|row| RoutingRow { currency: month.currency, ..row })
}

fn of_job<'document>(job: &'document Job, on: &'document OnSet) -> RoutingRow<'document> {
    RoutingRow {
        row: "job",
        name: &job.name,
        ink_set: &on.ink_set,
        copies_per_month: Some(job.copies_per_month),
        area_m2: Some(job.area_m2),
        ink_ml: Some(on.ink_ml),
        ink_ml_low: Some(on.ink_ml_low),
        ink_ml_high: Some(on.ink_ml_high),
        cost: &on.cost,
        holds: Some(on.holds),
        sent_here: Some(on.ink_set == job.sent_to),
        ..RoutingRow::default()
    }
}

fn of_total(total: &Total) -> RoutingRow<'_> {
    RoutingRow {
        row: "total",
        ink_set: &total.ink_set,
        ink_ml: Some(total.ink_ml),
        ink_ml_low: Some(total.ink_ml_low),
        ink_ml_high: Some(total.ink_ml_high),
        cost: &total.cost,
        jobs_not_held: Some(total.jobs_not_held),
        ..RoutingRow::default()
    }
}

/// The rows of a payback.
pub(crate) fn payback(document: &PaybackDocument) -> impl Iterator<Item = impl Serialize> {
    document.sensitivity.iter().map(|row| of_change(document, row))
}

fn of_change<'document>(
    document: &'document PaybackDocument,
    row: &'document Sensitivity,
) -> PaybackRow<'document> {
    PaybackRow {
        have: &document.have,
        buy: &document.buy,
        old_machine: document.old_machine,
        price: &document.price,
        currency: document.month.currency,
        change: row.change,
        to: row.to,
        jobs_moved: row.jobs_moved,
        jobs_not_held: row.jobs_not_held,
        saving: &row.saving.expected,
        saving_low: &row.saving.low,
        saving_high: &row.saving.high,
        status: row.time.status,
        months: row.time.months,
        months_at_least_saving: row.time_at_least_saving.months,
        months_at_most_saving: row.time_at_most_saving.months,
    }
}

#[cfg(all(test, feature = "parquet"))]
mod tests {
    use super::*;
    use crate::parquet_form::names;

    #[test]
    fn typed_columns_are_those_of_the_csv_forms_in_their_order() {
        assert_eq!(names(&ROUTING_COLUMNS), header(RoutingRow::default()));
        assert_eq!(names(&PAYBACK_COLUMNS), header(PaybackRow::default()));
    }

    fn header(row: impl Serialize) -> String {
        crate::row_forms::csv(std::iter::once(row)).lines().next().unwrap_or_default().to_owned()
    }
}
