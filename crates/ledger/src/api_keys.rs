use rusqlite::{OptionalExtension, Row, params};

use crate::{Ledger, LedgerError};

/// What a key allows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// Uploads, and answers about its own ones, without what the studio pays.
    Shop,
    /// Everything.
    Studio,
}

impl Role {
    /// All of them with their words.
    pub const WORDS: [(&'static str, Self); 2] = [("shop", Self::Shop), ("studio", Self::Studio)];

    /// The word in the ledger.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, role)| *role == self).map_or("", |(word, _)| word)
    }
}

/// A key as it is kept: without the key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StoredKey {
    /// Its number.
    pub number: i64,
    /// What people call it.
    pub label: String,
    /// What it allows.
    pub role: Role,
    /// Seconds since 1970.
    pub made_at: u64,
    /// Seconds since 1970, once it is void.
    pub revoked_at: Option<u64>,
}

impl Ledger {
    /// Keeps the hash of a new key, and gives the key's number.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn add_key(
        &mut self,
        label: &str,
        role: Role,
        hash: &[u8; 32],
        now: u64,
    ) -> Result<i64, LedgerError> {
        self.at_once(|transaction| {
            transaction.execute(
                "INSERT INTO api_key (label, role, hash, made_at) VALUES (?, ?, ?, ?)",
                params![label, role.word(), hash, seconds(now)],
            )?;
            Ok(transaction.last_insert_rowid())
        })
    }

    /// All keys, oldest first.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn keys(&self) -> Result<Vec<StoredKey>, LedgerError> {
        let sql = "SELECT number, label, role, made_at, revoked_at FROM api_key ORDER BY number";
        self.asked(|connection| connection.prepare(sql)?.query_map([], stored)?.collect())
    }

    /// Makes a key and its sessions void. Says whether there was such a key that was not.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn revoke_key(&mut self, number: i64, now: u64) -> Result<bool, LedgerError> {
        self.at_once(|transaction| {
            transaction.execute("DELETE FROM session WHERE api_key = ?", [number])?;
            let changed = transaction.execute(
                "UPDATE api_key SET revoked_at = ? WHERE number = ? AND revoked_at IS NULL",
                params![seconds(now), number],
            )?;
            Ok(changed == 1)
        })
    }

    /// The key of a hash, unless it is void.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn key_of_hash(&self, hash: &[u8; 32]) -> Result<Option<StoredKey>, LedgerError> {
        let sql = "SELECT number, label, role, made_at, revoked_at FROM api_key
                   WHERE hash = ? AND revoked_at IS NULL";
        self.asked(|connection| {
            connection.prepare_cached(sql)?.query_row([hash], stored).optional()
        })
    }

    /// Opens a session of a key; sessions that have ended go.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn open_session(
        &mut self,
        hash: &[u8; 32],
        key: i64,
        now: u64,
        ends_at: u64,
    ) -> Result<(), LedgerError> {
        self.at_once(|transaction| {
            transaction.execute("DELETE FROM session WHERE ends_at <= ?", [seconds(now)])?;
            transaction.execute(
                "INSERT INTO session (hash, api_key, ends_at) VALUES (?, ?, ?)",
                params![hash, key, seconds(ends_at)],
            )?;
            Ok(())
        })
    }

    /// The key whose session this is, unless either is void.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn key_of_session(
        &self,
        hash: &[u8; 32],
        now: u64,
    ) -> Result<Option<StoredKey>, LedgerError> {
        let sql = "SELECT number, label, role, made_at, revoked_at FROM api_key
                   JOIN session ON session.api_key = api_key.number
                   WHERE session.hash = ? AND ends_at > ? AND revoked_at IS NULL";
        self.asked(|connection| {
            let mut statement = connection.prepare_cached(sql)?;
            statement.query_row(params![hash, seconds(now)], stored).optional()
        })
    }

    /// Ends a session.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn close_session(&mut self, hash: &[u8; 32]) -> Result<(), LedgerError> {
        self.at_once(|transaction| {
            transaction.execute("DELETE FROM session WHERE hash = ?", [hash])?;
            Ok(())
        })
    }

    /// The secret from which links are made; `fresh` becomes it where there is none yet.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn link_secret(&mut self, fresh: &[u8; 32]) -> Result<[u8; 32], LedgerError> {
        self.at_once(|transaction| {
            transaction.execute(
                "INSERT OR IGNORE INTO link_secret (only_one, secret) VALUES (1, ?)",
                [fresh],
            )?;
            Ok(transaction.query_row("SELECT secret FROM link_secret", [], |row| row.get(0))?)
        })
    }
}

fn stored(row: &Row<'_>) -> rusqlite::Result<StoredKey> {
    let whole = |value: i64| u64::try_from(value).unwrap_or(0);
    let word: String = row.get(2)?;
    let known = Role::WORDS.iter().find(|(known, _)| *known == word);
    Ok(StoredKey {
        number: row.get(0)?,
        label: row.get(1)?,
        // The table allows no other word.
        role: known.map_or(Role::Shop, |(_, role)| *role),
        made_at: whole(row.get(3)?),
        revoked_at: row.get::<_, Option<i64>>(4)?.map(whole),
    })
}

fn seconds(time: u64) -> i64 {
    i64::try_from(time).unwrap_or(i64::MAX)
}
