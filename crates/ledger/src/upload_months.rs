use rusqlite::Row;
use units::{Area, Volume};

use crate::{Ledger, LedgerError};

/// What came in during a month, in universal time.
#[derive(Clone, Debug, PartialEq)]
pub struct UploadMonth {
    /// The month, such as 2026-11.
    pub month: String,
    /// Everything that was received.
    pub uploads: u64,
    /// What could be counted.
    pub counted: u64,
    /// What was refused or failed.
    pub refused: u64,
    /// What had a first answer, because its size was known.
    pub answered: u64,
    /// Printed area of the first answers.
    pub area: Area,
    /// Expected ink of the first answers.
    pub ink: Volume,
}

/// Where a first answer's document holds its figures, as paths of SQLite's JSON functions: the
/// ledger knows no form of a document.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FigurePlaces<'a> {
    /// Square metres.
    pub area_m2: &'a str,
    /// Millilitres.
    pub ink_ml: &'a str,
}

const MONTHS: &str = "
    SELECT strftime('%Y-%m', received_at, 'unixepoch') AS month, count(*),
           sum(state = 'counted'), sum(state IN ('refused', 'failed')), count(answer.number),
           total(json_extract(document, ?1)), total(json_extract(document, ?2))
    FROM upload LEFT JOIN answer ON answer.upload = upload.number AND answer.is_first = 1
    GROUP BY month ORDER BY month DESC LIMIT ?3";

impl Ledger {
    /// What came in during the latest months, newest first; months without an upload are left out.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn upload_months(
        &self,
        places: FigurePlaces<'_>,
        most: u32,
    ) -> Result<Vec<UploadMonth>, LedgerError> {
        self.asked(|connection| {
            let mut statement = connection.prepare(MONTHS)?;
            let given = (places.area_m2, places.ink_ml, most);
            statement.query_map(given, month_of)?.collect()
        })
    }
}

fn month_of(row: &Row<'_>) -> rusqlite::Result<UploadMonth> {
    let number = |place: usize| row.get::<_, i64>(place).map(i64::unsigned_abs);
    let figure = |place: usize| row.get::<_, f64>(place);
    let unsound = |place: usize, cause: units::UnitError| {
        rusqlite::Error::FromSqlConversionFailure(
            place,
            rusqlite::types::Type::Real,
            Box::new(cause),
        )
    };
    Ok(UploadMonth {
        month: row.get(0)?,
        uploads: number(1)?,
        counted: number(2)?,
        refused: number(3)?,
        answered: number(4)?,
        area: Area::from_square_metres(figure(5)?).map_err(|cause| unsound(5, cause))?,
        ink: Volume::from_millilitres(figure(6)?).map_err(|cause| unsound(6, cause))?,
    })
}
