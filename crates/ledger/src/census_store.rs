use rusqlite::{OptionalExtension, Transaction, params};

use crate::{Ledger, LedgerError};

/// Room for censuses of pictures that no job belongs to, in bytes: a gigabyte holds about a
/// hundred large pictures with their previews. Our choice. Those of jobs always stay.
const ROOM: u64 = 1 << 30;

impl Ledger {
    /// Room for censuses of pictures that no job belongs to, in bytes.
    pub const CENSUS_ROOM: u64 = ROOM;

    /// The stored census of a picture by the BLAKE3 hash of its file, in the census's own form.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn census(&self, content_hash: &[u8; 32]) -> Result<Option<Vec<u8>>, LedgerError> {
        self.connection()
            .query_row("SELECT bytes FROM census WHERE content_hash = ?", [content_hash], |row| {
                row.get(0)
            })
            .optional()
            .map_err(|cause| self.fault(&cause))
    }

    /// Keeps the census of a picture; one that is kept already is replaced.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn keep_census(
        &mut self,
        content_hash: &[u8; 32],
        bytes: &[u8],
    ) -> Result<(), LedgerError> {
        self.at_once(|transaction| Ok(keep(transaction, content_hash, bytes)?))
    }

    /// Lets the oldest censuses of pictures without a job go when those take more than so many
    /// bytes; the newest stays.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn limit_censuses(&mut self, room: u64) -> Result<(), LedgerError> {
        self.at_once(|transaction| Ok(make_room(transaction, room)?))
    }
}

fn keep(transaction: &Transaction<'_>, hash: &[u8; 32], bytes: &[u8]) -> rusqlite::Result<()> {
    transaction.execute(
        "INSERT OR REPLACE INTO census (content_hash, bytes, kept)
         VALUES (?, ?, (SELECT coalesce(max(kept), 0) + 1 FROM census))",
        params![hash, bytes],
    )?;
    Ok(())
}

/// Lets go of the oldest until the others fit; the newest always stays.
fn make_room(transaction: &Transaction<'_>, room: u64) -> rusqlite::Result<()> {
    // More than the database can count is no limit.
    let room = i64::try_from(room).unwrap_or(i64::MAX);
    transaction.execute(
        "DELETE FROM census WHERE content_hash IN (
             SELECT content_hash FROM (
                 SELECT content_hash, kept, sum(length(bytes)) OVER (ORDER BY kept DESC) AS taken
                 FROM census
                 WHERE content_hash NOT IN (SELECT content_hash FROM job)
                   AND content_hash NOT IN (SELECT content_hash FROM upload))
             WHERE taken > ? AND kept < (SELECT max(kept) FROM census))",
        [room],
    )?;
    Ok(())
}
