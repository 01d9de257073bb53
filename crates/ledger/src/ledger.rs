use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, OpenFlags, Transaction, TransactionBehavior};

use crate::LedgerError;
use crate::schema::{APPLICATION, Header, NEWEST, migrate};

/// An open ledger.
///
/// Every change is one transaction with a write-ahead log: after a crash it is there as a whole
/// or not at all.
#[derive(Debug)]
pub struct Ledger {
    connection: Connection,
    path: PathBuf,
}

/// What opening does where there is no ledger.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Opening {
    /// Refuses.
    Existing,
    /// Begins one.
    OrNew,
}

/// How long another process may hold the file before opening or writing gives up: longer than
/// any import, shorter than anybody waits. Our choice.
const PATIENCE: Duration = Duration::from_secs(5);

/// Bytes of a page of a new ledger. Our choice: a census takes two megabytes, and each page that it goes
/// over costs the same whatever its size.
const PAGE_BYTES: u32 = 16 << 10;

impl Ledger {
    /// Opens the ledger at a path and brings it to the newest form.
    ///
    /// # Errors
    ///
    /// `Missing` where there is none and none is to be begun; `Foreign`, `Newer`, `Damaged` for a
    /// file that is no ledger of this program, which is left as it is; `Locked` when another
    /// process holds it; `Unwritable` and `Database` for what the machine refuses.
    pub fn open(path: &Path, opening: Opening) -> Result<Self, LedgerError> {
        let connection = connect(path, opening)?;
        let mut ledger = Self { connection, path: path.to_owned() };
        ledger.prepare(opening)?;
        Ok(ledger)
    }

    fn prepare(&mut self, opening: Opening) -> Result<(), LedgerError> {
        let header = self.header()?;
        let foreign = |detail: &str| {
            Err(LedgerError::Foreign { path: self.path.clone(), detail: detail.to_owned() })
        };
        match header {
            empty if empty.is_empty() => {
                if opening == Opening::Existing {
                    return foreign("it is empty");
                }
            }
            other if other.application != APPLICATION => {
                return foreign("it is a database of another program");
            }
            Header { form, .. } if form > NEWEST => {
                let path = self.path.clone();
                return Err(LedgerError::Newer { path, found: form, newest: NEWEST });
            }
            Header { .. } => {}
        }
        self.enter_log_mode()
            .and_then(
                |()| {
                    if header.form < NEWEST { migrate(&mut self.connection) } else { Ok(()) }
                },
            )
            .map_err(|cause| self.fault(&cause))
    }

    /// Reads the header before anything is written. A file that a crash left with a log is
    /// recovered by this.
    fn header(&self) -> Result<Header, LedgerError> {
        self.connection
            .busy_timeout(PATIENCE)
            .and_then(|()| Header::of(&self.connection))
            .map_err(|cause| self.fault(&cause))
    }

    /// A write-ahead log, and every commit on the disk before it is reported. Pages of an older ledger
    /// stay as they are.
    fn enter_log_mode(&self) -> rusqlite::Result<()> {
        self.connection.pragma_update(None, "foreign_keys", true)?;
        self.connection.pragma_update(None, "synchronous", "FULL")?;
        self.connection.pragma_update(None, "page_size", PAGE_BYTES)?;
        let mode = |row: &rusqlite::Row<'_>| row.get::<_, String>(0);
        self.connection.pragma_update_and_check(None, "journal_mode", "WAL", mode)?;
        Ok(())
    }

    /// The connection, for the modules of this room.
    pub(crate) const fn connection(&self) -> &Connection {
        &self.connection
    }

    /// Reads, with what the database reports as a fault of this ledger.
    pub(crate) fn asked<T>(
        &self,
        query: impl FnOnce(&Connection) -> rusqlite::Result<T>,
    ) -> Result<T, LedgerError> {
        query(&self.connection).map_err(|cause| self.fault(&cause))
    }

    /// Writes a whole and compact copy to a path where nothing may be yet, while others read and
    /// write.
    ///
    /// # Errors
    ///
    /// `Unwritable` and `Database` for what the machine refuses.
    pub fn copy_to(&self, path: &Path) -> Result<(), LedgerError> {
        let text = path.display().to_string();
        self.connection
            .execute("VACUUM INTO ?", [&text])
            .map(drop)
            .map_err(|cause| LedgerError::of(path, &cause))
    }

    /// Does work in one transaction, which takes effect as a whole or not at all.
    pub(crate) fn at_once<T>(
        &mut self,
        work: impl FnOnce(&Transaction<'_>) -> Result<T, Refused>,
    ) -> Result<T, LedgerError> {
        let path = self.path.clone();
        let done = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(Refused::Database)
            .and_then(|transaction| {
                let result = work(&transaction)?;
                transaction.commit()?;
                Ok(result)
            });
        done.map_err(|refused| match refused {
            Refused::Ledger(fault) => *fault,
            Refused::Database(cause) => LedgerError::of(&path, &cause),
        })
    }

    /// What the database reports, as a fault of this ledger.
    pub(crate) fn fault(&self, cause: &rusqlite::Error) -> LedgerError {
        LedgerError::of(&self.path, cause)
    }
}

fn connect(path: &Path, opening: Opening) -> Result<Connection, LedgerError> {
    let mut flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    if opening == Opening::OrNew {
        flags |= OpenFlags::SQLITE_OPEN_CREATE;
    }
    let missing = opening == Opening::Existing && !path.exists();
    if missing {
        return Err(LedgerError::Missing { path: path.to_owned() });
    }
    Connection::open_with_flags(path, flags).map_err(|cause| LedgerError::of(path, &cause))
}

/// Why a transaction was not made.
pub(crate) enum Refused {
    Database(rusqlite::Error),
    Ledger(Box<LedgerError>),
}

impl From<rusqlite::Error> for Refused {
    fn from(cause: rusqlite::Error) -> Self {
        Self::Database(cause)
    }
}

impl From<LedgerError> for Refused {
    fn from(fault: LedgerError) -> Self {
        Self::Ledger(Box::new(fault))
    }
}
