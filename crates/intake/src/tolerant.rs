use colour::{Band, Damage, RasterFormat, RowSource};

use crate::IntakeError;
use crate::picture::Rows;

/// Rows of a damaged picture as far as they go: the fault that ends them is told as damage.
///
/// A picture of which no row can be read stays refused.
pub(crate) struct TolerantRows {
    rows: Rows,
    read: u32,
    damage: Vec<Damage>,
    ended: bool,
}

impl TolerantRows {
    pub(crate) const fn new(rows: Rows) -> Self {
        Self { rows, read: 0, damage: Vec::new(), ended: false }
    }

    /// Whether a fault lies in the file's pixels and leaves the rows before it right.
    fn leaves_rows(&self, fault: &IntakeError) -> bool {
        let in_file = matches!(fault, IntakeError::Truncated { .. } | IntakeError::Corrupt { .. });
        in_file && self.read > 0
    }

    fn end_with(&mut self, fault: &IntakeError) {
        self.ended = true;
        let height = self.rows.format().height;
        let missing = height - self.read.min(height);
        let share = f64::from(missing) / f64::from(height) * 100.0;
        let detail = format!(
            "{missing} of {height} rows ({share:.1} %) are missing and taken as the mean of the \
             others: {fault}"
        );
        self.damage.push(Damage { missing_rows: missing, detail });
    }
}

impl RowSource for TolerantRows {
    type Error = IntakeError;

    fn format(&self) -> RasterFormat {
        self.rows.format()
    }

    fn next_band(&mut self) -> Result<Option<Band>, IntakeError> {
        if self.ended {
            return Ok(None);
        }
        match self.rows.next_band() {
            Ok(band) => {
                self.read += band.as_ref().map_or(0, |band| band.rows);
                if band.is_none() {
                    self.damage.splice(0..0, self.rows.damage().iter().cloned());
                }
                Ok(band)
            }
            Err(fault) if self.leaves_rows(&fault) => {
                self.damage.extend(self.rows.damage().iter().cloned());
                self.end_with(&fault);
                Ok(None)
            }
            Err(fault) => Err(fault),
        }
    }

    fn damage(&self) -> &[Damage] {
        &self.damage
    }
}
