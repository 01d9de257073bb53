use rusqlite::{Connection, OptionalExtension, Row, params};

use crate::upload::{AnswerKind, NewAnswer, StoredAnswer};
use crate::{Ledger, LedgerError};

const COLUMNS: &str = "number, upload, kind, made_at, asked, document";

impl Ledger {
    /// Keeps an answer about an upload, and gives its number.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn keep_answer(&mut self, upload: i64, answer: &NewAnswer) -> Result<i64, LedgerError> {
        self.at_once(|transaction| {
            insert(transaction, upload, answer, false)?;
            Ok(transaction.last_insert_rowid())
        })
    }

    /// The kept answers about an upload, oldest first.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn answers(&self, upload: i64) -> Result<Vec<StoredAnswer>, LedgerError> {
        let sql = format!("SELECT {COLUMNS} FROM answer WHERE upload = ? ORDER BY number");
        self.asked(|connection| connection.prepare(&sql)?.query_map([upload], stored)?.collect())
    }

    /// A kept answer by its number.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn answer(&self, number: i64) -> Result<Option<StoredAnswer>, LedgerError> {
        let sql = format!("SELECT {COLUMNS} FROM answer WHERE number = ?");
        self.asked(|connection| connection.query_row(&sql, [number], stored).optional())
    }
}

pub(crate) fn insert(
    connection: &Connection,
    upload: i64,
    answer: &NewAnswer,
    is_first: bool,
) -> rusqlite::Result<()> {
    connection.execute(
        "INSERT INTO answer (upload, kind, is_first, made_at, asked, document)
         VALUES (?, ?, ?, ?, ?, ?)",
        params![
            upload,
            answer.kind.word(),
            is_first,
            i64::try_from(answer.made_at).unwrap_or(i64::MAX),
            answer.asked,
            answer.document,
        ],
    )?;
    Ok(())
}

fn stored(row: &Row<'_>) -> rusqlite::Result<StoredAnswer> {
    let word: String = row.get(2)?;
    let known = AnswerKind::WORDS.iter().find(|(known, _)| *known == word);
    Ok(StoredAnswer {
        number: row.get(0)?,
        upload: row.get(1)?,
        answer: NewAnswer {
            // The table allows no other word.
            kind: known.map_or(AnswerKind::Estimate, |(_, kind)| *kind),
            made_at: u64::try_from(row.get::<_, i64>(3)?).unwrap_or(0),
            asked: row.get(4)?,
            document: row.get(5)?,
        },
    })
}
