use std::collections::BTreeMap;

use units::{Coverage, DotsPerInch, DropVolume, LayDown, Share, UnitError};

use crate::DeviceCurve;

/// How the device addresses and fires: turns coverage into picolitres.
#[derive(Clone, Debug, PartialEq)]
pub struct PrintMode {
    /// Name, unique in its set.
    pub name: String,
    /// Addressing across the carriage's way.
    pub across: DotsPerInch,
    /// Addressing along the sheet's way.
    pub along: DotsPerInch,
    /// Mean number of drops in a cell at the channel's limit.
    pub drops_per_cell: f64,
    /// Sizes of drops and how they are mixed as coverage rises.
    pub drop_mix: DropMix,
    /// Lay-down stated or measured for a channel, in place of the product of the dots.
    pub lay_down: BTreeMap<String, LayDown>,
    /// From device value to coverage, by channel.
    pub device_curve: BTreeMap<String, DeviceCurve>,
}

/// Drop sizes and the share of each among the drops fired.
#[derive(Clone, Debug, PartialEq)]
pub struct DropMix {
    /// Volumes, small to large; one to three of them.
    pub volumes: Vec<DropVolume>,
    /// Rows of rising coverage.
    pub rows: Vec<DropMixRow>,
}

/// Shares of the drop sizes at one coverage.
#[derive(Clone, Debug, PartialEq)]
pub struct DropMixRow {
    /// The coverage for which the row holds.
    pub coverage: Coverage,
    /// Share of each size among the drops, small to large; they add up to one.
    pub shares: Vec<Share>,
}

impl PrintMode {
    /// The lay-down of an ink at its limit: stated, or the product of the dots.
    ///
    /// # Errors
    ///
    /// `OutOfRange` for a product above 200 ml/m²; never in a set that was read by
    /// [`InkSet::parse`](crate::InkSet::parse).
    pub fn full_lay_down(&self, ink: &str) -> Result<LayDown, UnitError> {
        if let Some(stated) = self.lay_down.get(ink) {
            return Ok(*stated);
        }
        let mean = DropVolume::from_picolitres(self.drop_mix.mean_picolitres(Coverage::MAX))?;
        LayDown::from_dots(self.across, self.along, self.drops_per_cell, mean)
    }
}

impl DropMix {
    /// The mean volume of a drop at a coverage, in picolitres, interpolated between rows.
    #[must_use]
    pub fn mean_picolitres(&self, coverage: Coverage) -> f64 {
        let at = coverage.to_fraction();
        let mean = |row: &DropMixRow| -> f64 {
            row.shares
                .iter()
                .zip(&self.volumes)
                .map(|(share, volume)| share.to_fraction() * volume.to_picolitres())
                .sum()
        };
        let above = self.rows.partition_point(|row| row.coverage.to_fraction() < at);
        match (above.checked_sub(1).map(|below| &self.rows[below]), self.rows.get(above)) {
            (Some(low), Some(high)) => {
                let (from, to) = (low.coverage.to_fraction(), high.coverage.to_fraction());
                let part = (at - from) / (to - from);
                mean(low) + part * (mean(high) - mean(low))
            }
            (Some(only), None) | (None, Some(only)) => mean(only),
            (None, None) => 0.0,
        }
    }
}
