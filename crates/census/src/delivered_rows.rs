use std::collections::BTreeMap;
use std::ops::Range;

use crate::CensusError;

/// Which rows have come: disjoint spans, whatever the order of the bands.
///
/// Bands in order make one span, so that a picture of any height costs a few bytes.
pub(crate) struct DeliveredRows {
    height: u32,
    /// First row → row behind the last.
    spans: BTreeMap<u32, u32>,
}

impl DeliveredRows {
    pub(crate) const fn new(height: u32) -> Self {
        Self { height, spans: BTreeMap::new() }
    }

    /// Notes the rows of a band.
    pub(crate) fn add(&mut self, first: u32, rows: u32) -> Result<(), CensusError> {
        let last = u64::from(first) + u64::from(rows.saturating_sub(1));
        let height = self.height;
        let outside = CensusError::BandOutside { first, last, height };
        let end = first.checked_add(rows).filter(|end| *end <= height);
        let end = end.ok_or(outside)?;
        if rows == 0 {
            return Ok(());
        }
        if let Some(row) = self.first_doubled(first..end) {
            return Err(CensusError::RowTwice { row });
        }
        self.insert(first..end);
        Ok(())
    }

    /// How many rows never came.
    pub(crate) fn missing(&self) -> u32 {
        let delivered: u32 = self.spans.iter().map(|(first, end)| end - first).sum();
        self.height - delivered
    }

    /// The first row that never came; the height if all came.
    pub(crate) fn first_missing(&self) -> u32 {
        self.spans.get(&0).copied().unwrap_or(0)
    }

    fn first_doubled(&self, rows: Range<u32>) -> Option<u32> {
        let before = self.spans.range(..=rows.start).next_back();
        if before.is_some_and(|(_, end)| *end > rows.start) {
            return Some(rows.start);
        }
        let after = self.spans.range(rows.start..).next();
        after.map(|(start, _)| *start).filter(|start| *start < rows.end)
    }

    /// Adds rows that none of the spans has, and joins them to the spans that they touch.
    fn insert(&mut self, rows: Range<u32>) {
        let end = self.spans.remove(&rows.end).unwrap_or(rows.end);
        match self.spans.range_mut(..rows.start).next_back() {
            Some((_, before)) if *before == rows.start => *before = end,
            _ => {
                self.spans.insert(rows.start, end);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_in_any_order_become_one_span() {
        let mut rows = DeliveredRows::new(10);
        for (first, count) in [(6, 2), (0, 3), (8, 2), (3, 3)] {
            rows.add(first, count).unwrap();
        }
        assert_eq!((rows.missing(), rows.first_missing()), (0, 10));
        assert_eq!(rows.spans.len(), 1);
    }

    #[test]
    fn a_hole_is_counted_and_found() {
        let mut rows = DeliveredRows::new(10);
        rows.add(0, 4).unwrap();
        rows.add(7, 1).unwrap();
        assert_eq!((rows.missing(), rows.first_missing()), (5, 4));
    }

    #[test]
    fn an_overlap_from_either_side_names_the_first_doubled_row() {
        let mut rows = DeliveredRows::new(10);
        rows.add(4, 2).unwrap();
        for (first, count, row) in [(4, 2, 4), (5, 3, 5), (2, 3, 4), (0, 10, 4)] {
            assert_eq!(rows.add(first, count), Err(CensusError::RowTwice { row }));
        }
    }

    #[test]
    fn a_band_behind_the_last_row_is_refused() {
        let mut rows = DeliveredRows::new(10);
        let message = rows.add(9, 2).unwrap_err().to_string();
        assert!(message.contains("rows 9 to 10"), "{message}");
        assert!(rows.add(u32::MAX, u32::MAX).is_err());
    }
}
