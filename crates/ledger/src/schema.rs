use rusqlite::{Connection, TransactionBehavior};

/// Marks the file as a ledger: "INKF" as a number in the database's header.
pub(crate) const APPLICATION: i64 = 0x494E_4B46;

/// The forms of the ledger: each script leads from the form before it to its own, the first from
/// nothing to form 1. A script that has been published is never changed; a change of the form is
/// a further script, also for tables that other rooms ask for.
const FORMS: &[&str] = &[include_str!("form_1.sql"), include_str!("form_2.sql")];

/// The newest form.
#[expect(clippy::cast_possible_wrap, reason = "a handful of forms")]
pub(crate) const NEWEST: i64 = FORMS.len() as i64;

/// What the file's header says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Header {
    pub(crate) application: i64,
    pub(crate) form: i64,
    pub(crate) tables: i64,
}

impl Header {
    pub(crate) fn of(connection: &Connection) -> rusqlite::Result<Self> {
        let pragma = |name| connection.pragma_query_value(None, name, |row| row.get(0));
        let count = "SELECT count(*) FROM sqlite_schema";
        Ok(Self {
            application: pragma("application_id")?,
            form: pragma("user_version")?,
            tables: connection.query_row(count, [], |row| row.get(0))?,
        })
    }

    /// A file that holds nothing yet.
    pub(crate) const fn is_empty(self) -> bool {
        self.application == 0 && self.form == 0 && self.tables == 0
    }
}

/// Brings the file to the newest form, in one transaction: all of it or nothing.
pub(crate) fn migrate(connection: &mut Connection) -> rusqlite::Result<()> {
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Another process may have been faster.
    let form = usize::try_from(Header::of(&transaction)?.form).unwrap_or(usize::MAX);
    for script in FORMS.iter().skip(form) {
        transaction.execute_batch(script)?;
    }
    transaction.pragma_update(None, "application_id", APPLICATION)?;
    transaction.pragma_update(None, "user_version", NEWEST)?;
    transaction.commit()
}
