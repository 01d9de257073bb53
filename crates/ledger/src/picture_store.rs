use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, OptionalExtension, TransactionBehavior, params};

use crate::LedgerError;

/// Marks the file as a store of pictures: "INKP" as a number in the database's header.
const APPLICATION: i64 = 0x494E_4B50;

/// The form of the store. Another one is emptied: whatever is in it can be counted again.
const FORM: i64 = 1;

/// How long another process may hold the store before a picture isn't looked up or kept: shorter
/// than counting one. Our choice.
const PATIENCE: Duration = Duration::from_millis(200);

/// Pictures that were counted before, to be known again without reading their files.
///
/// Unlike a [`Ledger`](crate::Ledger) it is a convenience: all of it may be lost at any time, and
/// a crash of the machine may lose its last pictures.
#[derive(Debug)]
pub struct PictureStore {
    connection: Connection,
    path: PathBuf,
}

/// What tells that a file has not changed since.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FileStamp<'a> {
    /// The file's absolute path, as bytes.
    pub path: &'a [u8],
    /// Its size in bytes.
    pub bytes: u64,
    /// When it was changed last, in nanoseconds since 1970.
    pub modified: i64,
}

/// A counted picture in its two forms.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct KeptForms<'a> {
    /// The picture with all its colours.
    pub counted: Option<&'a [u8]>,
    /// Its colours collected on the grid that pictures share.
    pub collected: Option<&'a [u8]>,
}

impl PictureStore {
    /// Opens the store at a path, or begins one. A file of another form is emptied.
    ///
    /// # Errors
    ///
    /// `Foreign` for a file that is no such store, which is left as it is; what the database
    /// refuses.
    pub fn open(path: &Path) -> Result<Self, LedgerError> {
        let fault = |cause: rusqlite::Error| LedgerError::of(path, &cause);
        let mut connection = Connection::open(path).map_err(fault)?;
        connection.busy_timeout(PATIENCE).map_err(fault)?;
        let pragma = |name| connection.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
        let application = pragma("application_id").map_err(fault)?;
        let tables = connection
            .query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get::<_, i64>(0))
            .map_err(fault)?;
        if application != APPLICATION && (application, tables) != (0, 0) {
            let detail = "it is a database of another program".to_owned();
            return Err(LedgerError::Foreign { path: path.to_owned(), detail });
        }
        prepare(&mut connection).map_err(fault)?;
        Ok(Self { connection, path: path.to_owned() })
    }

    /// The hash of a file that has not changed since it was counted.
    ///
    /// # Errors
    ///
    /// What the database refuses, as for all methods.
    pub fn hash_of(&self, file: FileStamp<'_>) -> Result<Option<[u8; 32]>, LedgerError> {
        self.optional(
            "SELECT content_hash FROM file WHERE path = ? AND bytes = ? AND modified = ?",
            params![file.path, stored(file.bytes), file.modified],
        )
    }

    /// The counted picture of a file's hash.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn counted(&self, hash: &[u8; 32]) -> Result<Option<Vec<u8>>, LedgerError> {
        self.optional("SELECT bytes FROM counted WHERE content_hash = ?", [hash])
    }

    /// The collected colours of a file's hash.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn collected(&self, hash: &[u8; 32]) -> Result<Option<Vec<u8>>, LedgerError> {
        self.optional("SELECT bytes FROM collected WHERE content_hash = ?", [hash])
    }

    /// Keeps what there is of a picture, and the file that it was read from.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn keep(
        &mut self,
        file: Option<FileStamp<'_>>,
        hash: &[u8; 32],
        forms: KeptForms<'_>,
    ) -> Result<(), LedgerError> {
        let fault = |cause: rusqlite::Error| LedgerError::of(&self.path, &cause);
        let transaction = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(fault)?;
        let write = || {
            if let Some(file) = file {
                transaction.execute(
                    "INSERT OR REPLACE INTO file VALUES (?, ?, ?, ?)",
                    params![file.path, stored(file.bytes), file.modified, hash],
                )?;
            }
            for (table, bytes) in [("counted", forms.counted), ("collected", forms.collected)] {
                let insert = format!(
                    "INSERT OR REPLACE INTO {table} (content_hash, kept, bytes)
                     SELECT ?1, (SELECT coalesce(max(kept), 0) + 1 FROM {table}), ?2
                     WHERE ?2 IS NOT NULL"
                );
                transaction.prepare_cached(&insert)?.execute(params![hash, bytes])?;
            }
            Ok(())
        };
        write().map_err(fault)?;
        transaction.commit().map_err(fault)
    }

    /// Lets the oldest pictures go when they take more than so many bytes.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn limit(&mut self, room: u64) -> Result<(), LedgerError> {
        let limit = |table: &str| {
            self.connection.execute(
                &format!(
                    "DELETE FROM {table} WHERE kept <= coalesce((
                         SELECT max(kept) FROM (
                             SELECT kept, sum(length(bytes)) OVER (ORDER BY kept DESC) AS taken
                             FROM {table})
                         WHERE taken > ?), 0)"
                ),
                [stored(room)],
            )
        };
        let orphans = "DELETE FROM file WHERE content_hash NOT IN (
                           SELECT content_hash FROM counted
                           UNION SELECT content_hash FROM collected)";
        limit("counted")
            .and_then(|_| limit("collected"))
            .and_then(|_| self.connection.execute(orphans, []))
            .map(drop)
            .map_err(|cause| LedgerError::of(&self.path, &cause))
    }

    fn optional<T: rusqlite::types::FromSql>(
        &self,
        query: &str,
        of: impl rusqlite::Params,
    ) -> Result<Option<T>, LedgerError> {
        self.connection
            .prepare_cached(query)
            .and_then(|mut query| query.query_row(of, |row| row.get(0)).optional())
            .map_err(|cause| LedgerError::of(&self.path, &cause))
    }
}

/// Sets the log's mode and makes the tables where they are missing or of another form.
fn prepare(connection: &mut Connection) -> rusqlite::Result<()> {
    let mode = |row: &rusqlite::Row<'_>| row.get::<_, String>(0);
    connection.pragma_update_and_check(None, "journal_mode", "WAL", mode)?;
    // A crash of the machine may lose the last pictures, and never more.
    connection.pragma_update(None, "synchronous", "NORMAL")?;
    let form = |connection: &Connection| {
        connection.pragma_query_value(None, "user_version", |row| row.get::<_, i64>(0))
    };
    if form(connection)? == FORM {
        return Ok(());
    }
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Another process may have been faster.
    if form(&transaction)? != FORM {
        transaction.execute_batch(include_str!("picture_store.sql"))?;
        transaction.pragma_update(None, "application_id", APPLICATION)?;
        transaction.pragma_update(None, "user_version", FORM)?;
    }
    transaction.commit()
}

/// Sizes as the database counts them; more than it can count is as good as no limit.
fn stored(bytes: u64) -> i64 {
    i64::try_from(bytes).unwrap_or(i64::MAX)
}
