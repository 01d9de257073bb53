use rusqlite::{OptionalExtension, Row, Transaction, params};

use crate::upload::{CountedUpload, NewUpload, StoredUpload, UploadFilter, UploadState};
use crate::{Ledger, LedgerError, answers};

const COLUMNS: &str = "number, id, owner, name, bytes, received_at, content_hash, wish, \
                       idempotency_key, state, problem, facts, links";

/// What became of an upload that was to be kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Received {
    /// It is kept under this number.
    New(i64),
    /// The sender's own key names this one, which was kept before.
    Before(Box<StoredUpload>),
}

impl Ledger {
    /// Keeps an upload that waits to be counted, once for each idempotency key of an owner. When
    /// this returns, it outlives a crash.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn receive_upload(&mut self, upload: &NewUpload) -> Result<Received, LedgerError> {
        self.at_once(|transaction| {
            let before = match &upload.idempotency_key {
                Some(key) => of_key(transaction, upload.owner, key)?,
                None => None,
            };
            if let Some(before) = before {
                return Ok(Received::Before(Box::new(before)));
            }
            insert(transaction, upload)?;
            Ok(Received::New(transaction.last_insert_rowid()))
        })
    }

    /// An upload by its unguessable name.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn upload(&self, id: &str) -> Result<Option<StoredUpload>, LedgerError> {
        let sql = format!("SELECT {COLUMNS} FROM upload WHERE id = ?");
        self.asked(|connection| connection.prepare_cached(&sql)?.query_row([id], stored).optional())
    }

    /// Uploads, newest first.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn uploads(&self, filter: &UploadFilter) -> Result<Vec<StoredUpload>, LedgerError> {
        let sql = format!(
            "SELECT {COLUMNS} FROM upload
             WHERE (?1 IS NULL OR owner = ?1) AND (?2 IS NULL OR state = ?2)
               AND (?3 IS NULL OR number < ?3)
               AND (?4 IS NULL OR instr(lower(name), lower(?4)) > 0)
             ORDER BY number DESC LIMIT ?5"
        );
        let UploadFilter { owner, search, state, before, most } = filter;
        let state = state.map(UploadState::word);
        self.asked(|connection| {
            let mut statement = connection.prepare_cached(&sql)?;
            let rows = statement.query_map(params![owner, state, before, search, most], stored)?;
            rows.collect()
        })
    }

    /// Uploads that wait to be counted, oldest first.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn waiting_uploads(&self) -> Result<Vec<StoredUpload>, LedgerError> {
        let sql = format!("SELECT {COLUMNS} FROM upload WHERE state = 'received' ORDER BY number");
        self.asked(|connection| connection.prepare(&sql)?.query_map([], stored)?.collect())
    }

    /// Keeps what the counting of a waiting upload gave: census, facts and first answer together.
    /// Says whether the upload still waited for it; otherwise nothing changes.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn finish_upload(
        &mut self,
        number: i64,
        counted: &CountedUpload,
    ) -> Result<bool, LedgerError> {
        self.at_once(|transaction| {
            let waited = transaction.execute(
                "UPDATE upload SET state = 'counted', facts = ? WHERE number = ? AND state = 'received'",
                params![counted.facts, number],
            )? == 1;
            if waited {
                transaction.execute(
                    "INSERT OR REPLACE INTO census (content_hash, bytes, kept)
                     SELECT content_hash, ?, (SELECT coalesce(max(kept), 0) + 1 FROM census)
                     FROM upload WHERE number = ?",
                    params![counted.census, number],
                )?;
                if let Some(answer) = &counted.answer {
                    answers::insert(transaction, number, answer, true)?;
                }
            }
            Ok(waited)
        })
    }

    /// Ends a waiting upload that could not be counted. Says whether it still waited.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn end_upload(
        &mut self,
        number: i64,
        state: UploadState,
        problem: &str,
    ) -> Result<bool, LedgerError> {
        self.at_once(|transaction| {
            let changed = transaction.execute(
                "UPDATE upload SET state = ?, problem = ? WHERE number = ? AND state = 'received'",
                params![state.word(), problem, number],
            )?;
            Ok(changed == 1)
        })
    }

    /// Makes all links to an upload void, and gives the new count of such acts.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn void_links(&mut self, number: i64) -> Result<i64, LedgerError> {
        self.at_once(|transaction| {
            Ok(transaction.query_row(
                "UPDATE upload SET links = links + 1 WHERE number = ? RETURNING links",
                [number],
                |row| row.get(0),
            )?)
        })
    }

    /// Deletes an upload with its answers, and its census where neither another upload nor a job
    /// has the same picture.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn delete_upload(&mut self, number: i64) -> Result<bool, LedgerError> {
        self.at_once(|transaction| {
            let hash: Option<[u8; 32]> = transaction
                .query_row("SELECT content_hash FROM upload WHERE number = ?", [number], |row| {
                    row.get(0)
                })
                .optional()?;
            let Some(hash) = hash else { return Ok(false) };
            transaction.execute("DELETE FROM upload WHERE number = ?", [number])?;
            transaction.execute(
                "DELETE FROM census WHERE content_hash = ?1
                   AND ?1 NOT IN (SELECT content_hash FROM upload)
                   AND ?1 NOT IN (SELECT content_hash FROM job)",
                [hash],
            )?;
            Ok(true)
        })
    }
}

fn of_key(
    transaction: &Transaction<'_>,
    owner: i64,
    key: &str,
) -> rusqlite::Result<Option<StoredUpload>> {
    let sql = format!("SELECT {COLUMNS} FROM upload WHERE owner = ? AND idempotency_key = ?");
    transaction.query_row(&sql, params![owner, key], stored).optional()
}

fn insert(transaction: &Transaction<'_>, upload: &NewUpload) -> rusqlite::Result<()> {
    transaction.execute(
        "INSERT INTO upload
         (id, owner, name, bytes, received_at, content_hash, wish, idempotency_key, state)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, 'received')",
        params![
            upload.id,
            upload.owner,
            upload.name,
            i64::try_from(upload.bytes).unwrap_or(i64::MAX),
            i64::try_from(upload.received_at).unwrap_or(i64::MAX),
            upload.content_hash,
            upload.wish,
            upload.idempotency_key,
        ],
    )?;
    Ok(())
}

fn stored(row: &Row<'_>) -> rusqlite::Result<StoredUpload> {
    let whole = |value: i64| u64::try_from(value).unwrap_or(0);
    let word: String = row.get(9)?;
    let known = UploadState::WORDS.iter().find(|(known, _)| *known == word);
    Ok(StoredUpload {
        number: row.get(0)?,
        upload: NewUpload {
            id: row.get(1)?,
            owner: row.get(2)?,
            name: row.get(3)?,
            bytes: whole(row.get(4)?),
            received_at: whole(row.get(5)?),
            content_hash: row.get(6)?,
            wish: row.get(7)?,
            idempotency_key: row.get(8)?,
        },
        // The table allows no other word.
        state: known.map_or(UploadState::Failed, |(_, state)| *state),
        problem: row.get(10)?,
        facts: row.get(11)?,
        links: row.get(12)?,
    })
}
