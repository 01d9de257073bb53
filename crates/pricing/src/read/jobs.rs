use std::num::NonZeroU32;

use strict_toml::refuse_repeated_names;
use units::Length;

use super::Table;
use super::quantity::{COPIES, HEIGHT, ORDERS, WIDTH};
use crate::{JobList, ListedJob};

pub(super) const LIST_KEYS: [&str; 1] = ["job"];
pub(super) const JOB_KEYS: [&str; 6] =
    ["name", "file", "width_cm", "height_cm", "copies_per_month", "orders_per_month"];

/// As many tables as the reader takes from a list.
const MOST_JOBS: usize = 100;

pub(crate) fn read_jobs(root: &Table) -> Option<JobList> {
    root.only(&LIST_KEYS);
    let jobs = root.list("job", "job", MOST_JOBS, "add one, or split the list into several files");
    refuse_repeated_names(&jobs, "a job");
    let jobs: Vec<Option<ListedJob>> = jobs.iter().map(read_job).collect();
    Some(JobList { jobs: jobs.into_iter().collect::<Option<_>>()? })
}

fn read_job(table: &Table) -> Option<ListedJob> {
    table.only(&JOB_KEYS);
    let centimetres = |cm: f64| Length::from_millimetres(cm * 10.0);
    let name = table.need("name", "write a name").and_then(|entry| entry.name());
    let file = table.need("file", "write the picture's path").and_then(|entry| entry.text());
    let width = table.optional_quantity(&WIDTH, centimetres);
    let height = table.optional_quantity(&HEIGHT, centimetres);
    let copies = table.whole(&COPIES).and_then(NonZeroU32::new);
    let orders = match table.get(ORDERS.key()) {
        Some(entry) => entry.whole(&ORDERS).and_then(NonZeroU32::new),
        None => Some(NonZeroU32::MIN),
    };
    Some(ListedJob {
        name: name?,
        file: file?.to_owned(),
        width,
        height,
        copies_per_month: copies?,
        orders_per_month: orders?,
    })
}
