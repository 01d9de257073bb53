use std::num::NonZeroU32;

use rusqlite::types::{ToSql, Value};
use rusqlite::{OptionalExtension, Transaction, params};
use units::{Length, Volume};

use crate::jobs::{TOTAL, date};
use crate::ledger::Refused;
use crate::{CalendarDate, Includes, Ledger, LedgerError, MeasuredBy};

/// A value of a job that is to be corrected.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// Day of the print.
    PrintedOn(CalendarDate),
    /// Printed width of a copy.
    Width(Length),
    /// Printed height of a copy.
    Height(Length),
    /// Number of prints.
    Copies(NonZeroU32),
    /// Where the millilitres come from.
    MeasuredBy(MeasuredBy),
    /// The smallest step of the readings.
    Resolution(Volume),
    /// What the readings hold beside the picture's ink.
    Includes(Includes),
    /// The reading of an ink, or of all together.
    Reading(Option<String>, Volume),
    /// Whether calibrations leave the job out.
    LeftOut(bool),
    /// The note.
    Note(String),
}

/// A correction that was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Correction {
    /// The job.
    pub job: i64,
    /// Day of the correction.
    pub corrected_on: CalendarDate,
    /// What was corrected, with its unit.
    pub what: String,
    /// The value before.
    pub before: String,
    /// The value after.
    pub after: String,
    /// Why.
    pub reason: String,
}

impl Ledger {
    /// Corrects values of a job, all of them or none; the values before are kept.
    ///
    /// # Errors
    ///
    /// `UnknownJob`, `UnknownReading`; what the database refuses.
    pub fn correct(
        &mut self,
        number: i64,
        changes: &[Change],
        on: CalendarDate,
        reason: &str,
    ) -> Result<(), LedgerError> {
        self.at_once(|transaction| {
            let known: Option<i64> = transaction
                .query_row("SELECT number FROM job WHERE number = ?", [number], |row| row.get(0))
                .optional()?;
            known.ok_or(LedgerError::UnknownJob { number })?;
            for change in changes {
                for (what, before, after) in change.make(transaction, number)? {
                    transaction.execute(
                        "INSERT INTO correction (job, corrected_on, what, before, after, reason)
                         VALUES (?, ?, ?, ?, ?, ?)",
                        params![number, on.to_string(), what, before, after, reason],
                    )?;
                }
            }
            Ok(())
        })
    }

    /// The corrections in the order made, of one job or of all.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn corrections(&self, job: Option<i64>) -> Result<Vec<Correction>, LedgerError> {
        let read = || -> Result<Vec<Correction>, Refused> {
            let mut statement = self.connection().prepare(
                "SELECT job, corrected_on, what, before, after, reason FROM correction
                 WHERE ?1 IS NULL OR job = ?1 ORDER BY number",
            )?;
            let mut rows = statement.query([job])?;
            let mut all = Vec::new();
            while let Some(row) = rows.next()? {
                all.push(Correction {
                    job: row.get(0)?,
                    corrected_on: date(&row.get::<_, String>(1)?)?,
                    what: row.get(2)?,
                    before: row.get(3)?,
                    after: row.get(4)?,
                    reason: row.get(5)?,
                });
            }
            Ok(all)
        };
        read().map_err(|refused| match refused {
            Refused::Ledger(fault) => *fault,
            Refused::Database(cause) => self.fault(&cause),
        })
    }
}

/// What was corrected, the value before and the value after.
type Made = Vec<(String, String, String)>;

impl Change {
    fn make(&self, transaction: &Transaction<'_>, number: i64) -> Result<Made, Refused> {
        let set = |column: &str, value: &dyn ToSql| set(transaction, number, column, value);
        Ok(match self {
            Self::PrintedOn(day) => set("printed_on", &day.to_string())?,
            Self::Width(width) => set("width_mm", &width.to_millimetres())?,
            Self::Height(height) => set("height_mm", &height.to_millimetres())?,
            Self::Copies(copies) => set("copies", &copies.get())?,
            Self::MeasuredBy(how) => set("measured_by", &how.word())?,
            Self::Resolution(step) => set("resolution_ml", &step.to_millilitres())?,
            Self::LeftOut(left_out) => set("left_out", left_out)?,
            Self::Note(note) => set("note", note)?,
            Self::Includes(includes) => [
                set("start_up", &includes.start_up)?,
                set("cleaning", &includes.cleaning)?,
                set("margins", &includes.margins)?,
            ]
            .concat(),
            Self::Reading(ink, volume) => reading(transaction, number, ink.as_deref(), *volume)?,
        })
    }
}

/// Sets a column of the job; nothing is made where the value stays the same. Columns are named by
/// this module alone.
fn set(
    transaction: &Transaction<'_>,
    number: i64,
    column: &str,
    value: &dyn ToSql,
) -> Result<Made, Refused> {
    let read = || {
        let query = format!("SELECT {column} FROM job WHERE number = ?");
        transaction.query_row(&query, [number], |row| row.get::<_, Value>(0)).map(|v| written(&v))
    };
    let before = read()?;
    transaction.execute(
        &format!("UPDATE job SET {column} = ? WHERE number = ?"),
        params![value, number],
    )?;
    let after = read()?;
    Ok(if before == after { Vec::new() } else { vec![(column.to_owned(), before, after)] })
}

fn reading(
    transaction: &Transaction<'_>,
    number: i64,
    ink: Option<&str>,
    volume: Volume,
) -> Result<Made, Refused> {
    let key = ink.unwrap_or(TOTAL);
    let before: Option<f64> = transaction
        .query_row(
            "SELECT ml FROM reading WHERE job = ? AND ink = ?",
            params![number, key],
            |row| row.get(0),
        )
        .optional()?;
    let called = |name: &str| {
        if name.is_empty() { "the total".to_owned() } else { format!("`{name}`") }
    };
    let Some(before) = before else {
        let mut statement =
            transaction.prepare("SELECT ink FROM reading WHERE job = ? ORDER BY ink")?;
        let known: Vec<String> =
            statement.query_map([number], |row| row.get(0))?.collect::<Result<_, _>>()?;
        let known = known.iter().map(|name| called(name)).collect::<Vec<_>>().join(", ");
        return Err(LedgerError::UnknownReading { number, ink: called(key), known }.into());
    };
    let after = volume.to_millilitres();
    transaction.execute(
        "UPDATE reading SET ml = ? WHERE job = ? AND ink = ?",
        params![after, number, key],
    )?;
    let what = ink.map_or_else(|| "total_ml".to_owned(), |ink| format!("ml {ink}"));
    let unchanged = before.to_bits() == after.to_bits();
    Ok(if unchanged { Vec::new() } else { vec![(what, before.to_string(), after.to_string())] })
}

/// A stored value as it is shown.
fn written(value: &Value) -> String {
    match value {
        Value::Null | Value::Blob(_) => String::new(),
        Value::Integer(number) => number.to_string(),
        Value::Real(number) => number.to_string(),
        Value::Text(text) => text.clone(),
    }
}
