use csv::Writer;

use crate::job_table::OF_INK;
use crate::{Job, Readings, RecordedJob};

/// Columns of an exported table before those of the inks: those that can be read again.
const COLUMNS: [&str; 16] = [
    "date",
    "file",
    "content_hash",
    "ink_set",
    "substrate",
    "print_mode",
    "rendering",
    "policy",
    "width_mm",
    "height_mm",
    "copies",
    "measured_by",
    "resolution_ml",
    "includes",
    "note",
    "total_ml",
];

/// Writes jobs as a table that [`read_job_table`](crate::read_job_table) reads.
#[must_use]
pub fn write_job_table(jobs: &[RecordedJob]) -> String {
    let inks = inks(jobs);
    let mut writer = Writer::from_writer(Vec::new());
    let of_inks = inks.iter().map(|ink| format!("{OF_INK}{ink}"));
    let header = COLUMNS.iter().map(ToString::to_string).chain(of_inks);
    // Writing to memory can't fail.
    let _ = writer.write_record(header);
    for RecordedJob { job, .. } in jobs {
        let _ = writer.write_record(cells(job, &inks));
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}

/// All inks that were read, in the order in which they first occur.
fn inks(jobs: &[RecordedJob]) -> Vec<&str> {
    let mut inks = Vec::new();
    for RecordedJob { job, .. } in jobs {
        if let Readings::ByInk(readings) = &job.readings {
            for (ink, _) in readings {
                if !inks.contains(&ink.as_str()) {
                    inks.push(ink.as_str());
                }
            }
        }
    }
    inks
}

fn cells(job: &Job, inks: &[&str]) -> Vec<String> {
    let total = match &job.readings {
        Readings::Total(total) => total.to_millilitres().to_string(),
        Readings::ByInk(_) => String::new(),
    };
    let mut cells = vec![
        job.printed_on.to_string(),
        job.picture.clone(),
        job.content_hash.iter().map(|byte| format!("{byte:02x}")).collect(),
        job.ink_set.clone(),
        job.substrate.clone(),
        job.print_mode.clone(),
        job.rendering.clone(),
        job.policy.clone(),
        job.width.to_millimetres().to_string(),
        job.height.to_millimetres().to_string(),
        job.copies.to_string(),
        job.measured_by.word().to_owned(),
        job.resolution.to_millilitres().to_string(),
        job.includes.to_string(),
        job.note.clone(),
        total,
    ];
    cells.extend(inks.iter().map(|ink| {
        match &job.readings {
            Readings::ByInk(readings) => readings
                .iter()
                .find(|(name, _)| name == ink)
                .map_or_else(String::new, |(_, ml)| ml.to_millilitres().to_string()),
            Readings::Total(_) => String::new(),
        }
    }));
    cells
}
