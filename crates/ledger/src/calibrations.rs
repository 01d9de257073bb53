use dosing::{CalibratedChannel, Calibration, Draw, LeaveOneOut, VolumeCurve};
use rusqlite::{Connection, OptionalExtension, Row, Transaction, params};
use units::{LayDown, Share};

use crate::jobs::{damaged, date, millilitres};
use crate::ledger::Refused;
use crate::{CalibrationLabel, CalibrationName, Ledger, LedgerError, StoredCalibration};

impl Ledger {
    /// Keeps a calibration as the next version of its name and makes it active for its ink set
    /// and print mode. The version and the activity of `calibration` itself are not read.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn keep_calibration(
        &mut self,
        calibration: &StoredCalibration,
    ) -> Result<CalibrationLabel, LedgerError> {
        self.at_once(|transaction| {
            let name = calibration.label.name.clone();
            let version = next_version(transaction, &name)?;
            let number = insert(transaction, calibration, version)?;
            insert_parts(transaction, calibration, number)?;
            activate(transaction, number)?;
            Ok(CalibrationLabel { name, version })
        })
    }

    /// All calibrations by name and version.
    ///
    /// # Errors
    ///
    /// `Damaged` for a value that was never written; what the database refuses.
    pub fn calibrations(&self) -> Result<Vec<StoredCalibration>, LedgerError> {
        self.read(|connection| {
            let mut statement =
                connection.prepare("SELECT number FROM calibration ORDER BY name, version")?;
            let numbers: Vec<i64> =
                statement.query_map([], |row| row.get(0))?.collect::<Result<_, _>>()?;
            numbers.into_iter().map(|number| stored(connection, number)).collect()
        })
    }

    /// A calibration by `NAME.VERSION`, or the latest version of `NAME`.
    ///
    /// # Errors
    ///
    /// `UnknownCalibration` with those that exist; what the database refuses.
    pub fn calibration(&self, wanted: &str) -> Result<StoredCalibration, LedgerError> {
        self.read(|connection| stored(connection, number_of(connection, wanted)?))
    }

    /// The label of the calibration that estimates use, without its values: quick to ask before
    /// every answer.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn active_label(
        &self,
        ink_set: &str,
        print_mode: &str,
    ) -> Result<Option<String>, LedgerError> {
        let sql = "SELECT name || '.' || version FROM active_calibration
                   JOIN calibration ON calibration.number = active_calibration.calibration
                   WHERE active_calibration.ink_set = ? AND active_calibration.print_mode = ?";
        self.asked(|connection| {
            let mut statement = connection.prepare_cached(sql)?;
            statement.query_row([ink_set, print_mode], |row| row.get(0)).optional()
        })
    }

    /// The calibration that estimates of an ink set and print mode use.
    ///
    /// # Errors
    ///
    /// What the database refuses.
    pub fn active_calibration(
        &self,
        ink_set: &str,
        print_mode: &str,
    ) -> Result<Option<StoredCalibration>, LedgerError> {
        self.read(|connection| {
            let number = connection
                .query_row(
                    "SELECT calibration FROM active_calibration
                     WHERE ink_set = ? AND print_mode = ?",
                    [ink_set, print_mode],
                    |row| row.get(0),
                )
                .optional()?;
            number.map(|number| stored(connection, number)).transpose()
        })
    }

    /// Makes a calibration the one that estimates of its ink set and print mode use.
    ///
    /// # Errors
    ///
    /// `UnknownCalibration`; what the database refuses.
    pub fn use_calibration(&mut self, wanted: &str) -> Result<CalibrationLabel, LedgerError> {
        self.at_once(|transaction| {
            let number = number_of(transaction, wanted)?;
            activate(transaction, number)?;
            Ok(stored(transaction, number)?.label)
        })
    }

    fn read<T>(
        &self,
        work: impl FnOnce(&Connection) -> Result<T, Refused>,
    ) -> Result<T, LedgerError> {
        work(self.connection()).map_err(|refused| match refused {
            Refused::Ledger(fault) => *fault,
            Refused::Database(cause) => self.fault(&cause),
        })
    }
}

fn next_version(transaction: &Transaction<'_>, name: &CalibrationName) -> rusqlite::Result<u32> {
    transaction.query_row(
        "SELECT coalesce(max(version), 0) + 1 FROM calibration WHERE name = ?",
        [name.as_str()],
        |row| row.get(0),
    )
}

fn insert(
    transaction: &Transaction<'_>,
    stored: &StoredCalibration,
    version: u32,
) -> rusqlite::Result<i64> {
    let errors = stored.leave_one_out.as_ref();
    transaction.execute(
        "INSERT INTO calibration (name, version, fitted_on, program, ink_set, fingerprint,
             print_mode, scatter, jobs, mean_error, worst_error, worst_job, draws)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        params![
            stored.label.name.as_str(),
            version,
            stored.fitted_on.to_string(),
            stored.program,
            stored.ink_set,
            stored.fingerprint,
            stored.print_mode,
            stored.calibration.scatter.to_fraction(),
            stored.calibration.jobs,
            errors.map(|errors| errors.mean.to_fraction()),
            errors.map(|errors| errors.worst.to_fraction()),
            errors.map(|errors| errors.worst_job),
            draws_to_bytes(&stored.calibration.draws),
        ],
    )?;
    Ok(transaction.last_insert_rowid())
}

fn insert_parts(
    transaction: &Transaction<'_>,
    stored: &StoredCalibration,
    number: i64,
) -> rusqlite::Result<()> {
    let channels = stored.inks.iter().zip(&stored.calibration.channels);
    for (place, (ink, channel)) in (0_i64..).zip(channels) {
        let [lay_down, at_10, at_40, start_up] = numbers(channel);
        transaction.execute(
            "INSERT INTO calibration_channel VALUES (?, ?, ?, ?, ?, ?, ?)",
            params![number, place, ink, lay_down, at_10, at_40, start_up],
        )?;
    }
    for job in &stored.job_numbers {
        transaction.execute("INSERT INTO calibration_job VALUES (?, ?)", [number, *job])?;
    }
    for (place, sentence) in (0_i64..).zip(&stored.findings) {
        transaction.execute(
            "INSERT INTO calibration_finding VALUES (?, ?, ?)",
            params![number, place, sentence],
        )?;
    }
    Ok(())
}

fn activate(transaction: &Transaction<'_>, number: i64) -> rusqlite::Result<()> {
    transaction.execute(
        "INSERT OR REPLACE INTO active_calibration (ink_set, print_mode, calibration)
         SELECT ink_set, print_mode, number FROM calibration WHERE number = ?",
        [number],
    )?;
    Ok(())
}

/// Finds `NAME.VERSION`, or the latest version of `NAME`.
fn number_of(connection: &Connection, wanted: &str) -> Result<i64, Refused> {
    let (name, version) = match wanted.rsplit_once('.') {
        Some((name, version)) => (name, version.parse::<u32>().ok()),
        None => (wanted, None),
    };
    let found = connection
        .query_row(
            "SELECT number FROM calibration WHERE name = ?1 AND (?2 IS NULL OR version = ?2)
             ORDER BY version DESC LIMIT 1",
            params![name, version],
            |row| row.get(0),
        )
        .optional()?;
    // A version that is no number must not give the latest one.
    let unread = wanted.contains('.') && version.is_none();
    match found {
        Some(number) if !unread => Ok(number),
        _ => Err(unknown(connection, wanted)?.into()),
    }
}

fn unknown(connection: &Connection, name: &str) -> rusqlite::Result<LedgerError> {
    let mut statement =
        connection.prepare("SELECT name || '.' || version FROM calibration ORDER BY number")?;
    let known = statement.query_map([], |row| row.get(0))?.collect::<Result<_, _>>()?;
    Ok(LedgerError::UnknownCalibration { name: name.to_owned(), known })
}

fn stored(connection: &Connection, number: i64) -> Result<StoredCalibration, Refused> {
    let (inks, channels) = channels(connection, number)?;
    let query = "SELECT calibration.*, active_calibration.calibration IS NOT NULL AS active
                 FROM calibration LEFT JOIN active_calibration
                     ON active_calibration.calibration = calibration.number
                 WHERE calibration.number = ?";
    let mut statement = connection.prepare_cached(query)?;
    let mut rows = statement.query([number])?;
    let row = rows.next()?.ok_or_else(|| damaged("a calibration is gone"))?;
    let text = |name: &str| row.get::<_, String>(name);
    let label = CalibrationLabel { name: text("name")?.parse()?, version: row.get("version")? };
    let draws = draws_of_bytes(&row.get::<_, Vec<u8>>("draws")?, channels.len())?;
    let calibration = Calibration {
        channels,
        scatter: share(row.get("scatter")?)?,
        draws,
        jobs: row.get("jobs")?,
    };
    Ok(StoredCalibration {
        label,
        fitted_on: date(&text("fitted_on")?)?,
        program: text("program")?,
        ink_set: text("ink_set")?,
        fingerprint: text("fingerprint")?,
        print_mode: text("print_mode")?,
        inks,
        calibration,
        leave_one_out: leave_one_out(row)?,
        job_numbers: list(
            connection,
            "SELECT job FROM calibration_job WHERE calibration = ? ORDER BY job",
            number,
        )?,
        findings: list(
            connection,
            "SELECT sentence FROM calibration_finding WHERE calibration = ? ORDER BY place",
            number,
        )?,
        active: row.get("active")?,
    })
}

fn list<T: rusqlite::types::FromSql>(
    connection: &Connection,
    query: &str,
    number: i64,
) -> rusqlite::Result<Vec<T>> {
    connection.prepare_cached(query)?.query_map([number], |row| row.get(0))?.collect()
}

fn leave_one_out(row: &Row<'_>) -> Result<Option<LeaveOneOut>, Refused> {
    let mean: Option<f64> = row.get("mean_error")?;
    let Some(mean) = mean else { return Ok(None) };
    Ok(Some(LeaveOneOut {
        mean: share(mean)?,
        worst: share(row.get("worst_error")?)?,
        worst_job: row.get("worst_job")?,
    }))
}

fn channels(
    connection: &Connection,
    number: i64,
) -> Result<(Vec<String>, Vec<CalibratedChannel>), Refused> {
    let mut statement = connection.prepare_cached(
        "SELECT ink, lay_down_ml_per_m2, volume_at_10, volume_at_40, start_up_ml
         FROM calibration_channel WHERE calibration = ? ORDER BY place",
    )?;
    let mut rows = statement.query([number])?;
    let (mut inks, mut channels) = (Vec::new(), Vec::new());
    while let Some(row) = rows.next()? {
        inks.push(row.get(0)?);
        channels.push(channel([row.get(1)?, row.get(2)?, row.get(3)?, row.get(4)?])?);
    }
    Ok((inks, channels))
}

/// Numbers that are stored of a channel: ml/m², two shares, ml.
const NUMBERS: usize = 4;

fn numbers(channel: &CalibratedChannel) -> [f64; NUMBERS] {
    let [at_10, at_40] = channel.curve.volumes().map(Share::to_fraction);
    [
        channel.lay_down.to_millilitres_per_square_metre(),
        at_10,
        at_40,
        channel.start_up.to_millilitres(),
    ]
}

fn channel(
    [lay_down, at_10, at_40, start_up]: [f64; NUMBERS],
) -> Result<CalibratedChannel, LedgerError> {
    Ok(CalibratedChannel {
        lay_down: LayDown::from_millilitres_per_square_metre(lay_down)
            .map_err(|fault| damaged(&fault.to_string()))?,
        curve: VolumeCurve::from_volumes([share(at_10)?, share(at_40)?])
            .ok_or_else(|| damaged("a volume curve that falls"))?,
        start_up: millilitres(start_up)?,
    })
}

fn share(fraction: f64) -> Result<Share, LedgerError> {
    Share::from_fraction(fraction).map_err(|fault| damaged(&fault.to_string()))
}

fn draws_to_bytes(draws: &[Draw]) -> Vec<u8> {
    let values = draws.iter().flat_map(|draw| {
        let scatter = std::iter::once(draw.scatter.to_fraction());
        scatter.chain(draw.channels.iter().flat_map(numbers))
    });
    values.flat_map(f64::to_le_bytes).collect()
}

fn draws_of_bytes(bytes: &[u8], channels: usize) -> Result<Vec<Draw>, LedgerError> {
    let (values, rest) = bytes.as_chunks();
    let values: Vec<f64> = values.iter().copied().map(f64::from_le_bytes).collect();
    let length = 1 + NUMBERS * channels;
    if !rest.is_empty() || !values.len().is_multiple_of(length) {
        return Err(damaged("draws of a calibration are cut"));
    }
    let draw = |values: &[f64]| {
        let (channels, _) = values[1..].as_chunks();
        Ok(Draw {
            scatter: share(values[0])?,
            channels: channels.iter().copied().map(channel).collect::<Result<_, LedgerError>>()?,
        })
    };
    values.chunks_exact(length).map(draw).collect()
}
