use std::num::NonZeroU32;

use rusqlite::{Connection, OptionalExtension, Row, Transaction, params};
use units::{Length, Volume};

use crate::ledger::Refused;
use crate::{CalendarDate, Includes, Job, Ledger, LedgerError, MeasuredBy, Readings, RecordedJob};

/// Which jobs are wanted; without names, all.
#[derive(Clone, Copy, Debug, Default)]
pub struct JobFilter<'a> {
    /// Of this ink set alone.
    pub ink_set: Option<&'a str>,
    /// Of this print mode alone.
    pub print_mode: Option<&'a str>,
}

/// The name under which a total stands among readings of inks.
pub(crate) const TOTAL: &str = "";

impl Ledger {
    /// Adds jobs, all of them or none, and gives their numbers.
    ///
    /// # Errors
    ///
    /// `KnownJob` for one that is there already; what the database refuses.
    pub fn add_jobs(&mut self, jobs: &[Job], on: CalendarDate) -> Result<Vec<i64>, LedgerError> {
        self.at_once(|transaction| jobs.iter().map(|job| add(transaction, job, on)).collect())
    }

    /// The jobs by date, as they stand after corrections.
    ///
    /// # Errors
    ///
    /// `Damaged` for a value that was never written; what the database refuses.
    pub fn jobs(&self, filter: JobFilter<'_>) -> Result<Vec<RecordedJob>, LedgerError> {
        let fault = |cause| self.fault(&cause);
        let mut statement = self
            .connection()
            .prepare(
                "SELECT *, (SELECT count(*) FROM correction WHERE correction.job = job.number)
                     AS corrections
                 FROM job
                 WHERE (?1 IS NULL OR ink_set = ?1) AND (?2 IS NULL OR print_mode = ?2)
                 ORDER BY printed_on, number",
            )
            .map_err(fault)?;
        let rows = statement
            .query_map(params![filter.ink_set, filter.print_mode], |row| {
                Ok(recorded(self.connection(), row))
            })
            .map_err(fault)?;
        rows.map(|row| match row {
            Ok(Ok(job)) => Ok(job),
            Ok(Err(Refused::Ledger(fault))) => Err(*fault),
            Ok(Err(Refused::Database(cause))) | Err(cause) => Err(self.fault(&cause)),
        })
        .collect()
    }

    /// One job.
    ///
    /// # Errors
    ///
    /// `UnknownJob`; what the database refuses.
    pub fn job(&self, number: i64) -> Result<RecordedJob, LedgerError> {
        let all = self.jobs(JobFilter::default())?;
        all.into_iter().find(|job| job.number == number).ok_or(LedgerError::UnknownJob { number })
    }
}

fn add(transaction: &Transaction<'_>, job: &Job, on: CalendarDate) -> Result<i64, Refused> {
    refuse_known(transaction, job)?;
    transaction
        .prepare_cached(
            "INSERT INTO job (added_on, printed_on, picture, content_hash, ink_set, fingerprint,
             substrate, print_mode, rendering, policy, width_mm, height_mm, copies, measured_by,
             resolution_ml, start_up, cleaning, margins, note)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        )?
        .execute(params![
            on.to_string(),
            job.printed_on.to_string(),
            job.picture,
            job.content_hash,
            job.ink_set,
            job.fingerprint,
            job.substrate,
            job.print_mode,
            job.rendering,
            job.policy,
            job.width.to_millimetres(),
            job.height.to_millimetres(),
            job.copies.get(),
            job.measured_by.word(),
            job.resolution.to_millilitres(),
            job.includes.start_up,
            job.includes.cleaning,
            job.includes.margins,
            job.note,
        ])?;
    let number = transaction.last_insert_rowid();
    let mut insert =
        transaction.prepare_cached("INSERT INTO reading (job, ink, ml) VALUES (?, ?, ?)")?;
    for (ink, volume) in pairs(&job.readings) {
        insert.execute(params![number, ink, volume.to_millilitres()])?;
    }
    Ok(number)
}

/// Readings by name, the total under its own.
fn pairs(readings: &Readings) -> Vec<(&str, Volume)> {
    match readings {
        Readings::Total(total) => vec![(TOTAL, *total)],
        Readings::ByInk(inks) => inks.iter().map(|(ink, ml)| (ink.as_str(), *ml)).collect(),
    }
}

/// A job of the same day, picture, device, size and readings is the same job written down twice.
fn refuse_known(transaction: &Transaction<'_>, job: &Job) -> Result<(), Refused> {
    let mut same = transaction.prepare_cached(
        "SELECT * , 0 AS corrections FROM job
         WHERE content_hash = ? AND printed_on = ? AND ink_set = ? AND print_mode = ?",
    )?;
    let mut rows = same.query(params![
        job.content_hash,
        job.printed_on.to_string(),
        job.ink_set,
        job.print_mode
    ])?;
    while let Some(row) = rows.next()? {
        let known = recorded(transaction, row)?;
        let near = |one: Length, other: Length| {
            (one.to_millimetres() - other.to_millimetres()).abs() < SAME_SIZE_MM
        };
        let same_size = near(known.job.width, job.width) && near(known.job.height, job.height);
        if same_size && known.job.copies == job.copies && same_readings(&known.job, job) {
            return Err(LedgerError::KnownJob {
                number: known.number,
                picture: job.picture.clone(),
                date: job.printed_on.to_string(),
            }
            .into());
        }
    }
    Ok(())
}

/// Rounding of a size that was written down twice.
const SAME_SIZE_MM: f64 = 0.01;

fn same_readings(one: &Job, other: &Job) -> bool {
    let sorted = |job: &Job| {
        let mut all: Vec<(String, u64)> = pairs(&job.readings)
            .into_iter()
            .map(|(ink, ml)| (ink.to_owned(), ml.to_millilitres().to_bits()))
            .collect();
        all.sort();
        all
    };
    sorted(one) == sorted(other)
}

/// Reads a job and its readings.
fn recorded(connection: &Connection, row: &Row<'_>) -> Result<RecordedJob, Refused> {
    let number: i64 = row.get("number")?;
    let text = |name: &str| row.get::<_, String>(name);
    let measured_by = text("measured_by")?;
    Ok(RecordedJob {
        number,
        added_on: date(&text("added_on")?)?,
        left_out: row.get("left_out")?,
        corrections: row.get("corrections")?,
        job: Job {
            printed_on: date(&text("printed_on")?)?,
            picture: text("picture")?,
            content_hash: row.get("content_hash")?,
            ink_set: text("ink_set")?,
            fingerprint: text("fingerprint")?,
            substrate: text("substrate")?,
            print_mode: text("print_mode")?,
            rendering: text("rendering")?,
            policy: text("policy")?,
            width: length(row.get("width_mm")?)?,
            height: length(row.get("height_mm")?)?,
            copies: NonZeroU32::new(row.get("copies")?).ok_or_else(|| damaged("no copies"))?,
            measured_by: MeasuredBy::from_word(&measured_by)
                .ok_or_else(|| damaged(&format!("a job measured by `{measured_by}`")))?,
            resolution: millilitres(row.get("resolution_ml")?)?,
            includes: Includes {
                start_up: row.get("start_up")?,
                cleaning: row.get("cleaning")?,
                margins: row.get("margins")?,
            },
            readings: readings(connection, number)?,
            note: text("note")?,
        },
    })
}

fn readings(connection: &Connection, number: i64) -> Result<Readings, Refused> {
    let total: Option<f64> = connection
        .prepare_cached("SELECT ml FROM reading WHERE job = ? AND ink = ''")?
        .query_row([number], |row| row.get(0))
        .optional()?;
    if let Some(total) = total {
        return Ok(Readings::Total(millilitres(total)?));
    }
    let mut statement =
        connection.prepare_cached("SELECT ink, ml FROM reading WHERE job = ? ORDER BY ink")?;
    let rows = statement.query_map([number], |row| Ok((row.get(0)?, row.get(1)?)))?;
    let inks = rows.map(|row| {
        let (ink, ml): (String, f64) = row?;
        Ok((ink, millilitres(ml)?))
    });
    Ok(Readings::ByInk(inks.collect::<Result<_, Refused>>()?))
}

pub(crate) fn damaged(detail: &str) -> LedgerError {
    LedgerError::Damaged { detail: detail.to_owned() }
}

pub(crate) fn date(text: &str) -> Result<CalendarDate, LedgerError> {
    text.parse().map_err(|_| damaged(&format!("`{text}` as a date")))
}

pub(crate) fn millilitres(value: f64) -> Result<Volume, LedgerError> {
    Volume::from_millilitres(value).map_err(|fault| damaged(&fault.to_string()))
}

fn length(millimetres: f64) -> Result<Length, LedgerError> {
    Length::from_millimetres(millimetres).map_err(|fault| damaged(&fault.to_string()))
}
