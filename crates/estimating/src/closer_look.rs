use std::collections::BTreeSet;

use census::{CensusEntry, ColourCensus};
use proof::{ProvedColour, WantedColour};
use rayon::prelude::*;

use crate::EstimatingError;
use crate::judging::PictureProof;
use crate::source_colours::SourceColours;

/// Entries of a census in place of the wide ones that join them, where the largest differences may
/// lie: a mean colour differs less than the farthest of its parts.
pub(crate) struct CloserLook {
    /// Places of the wide entries that are left out.
    replaced: BTreeSet<usize>,
    parts: Vec<(WantedColour, u64)>,
}

/// Wide entries of each kind of difference that are looked at closely. Our choice: over twenty
/// photographs and three sets the largest difference from what is intended or asked is then that over
/// all entries within ΔE00 0.02, that between sets within 0.12 and that between lights within 0.08.
const LOOKED_AT: usize = 128;

/// The places of the largest differences.
pub(crate) fn largest(differences: impl Iterator<Item = f64>) -> Vec<usize> {
    let mut all: Vec<(f64, usize)> = differences.zip(0..).collect();
    if all.len() > LOOKED_AT {
        let falling = |one: &(f64, usize), other: &(f64, usize)| {
            other.0.total_cmp(&one.0).then(one.1.cmp(&other.1))
        };
        all.select_nth_unstable_by(LOOKED_AT, falling);
        all.truncate(LOOKED_AT);
    }
    all.into_iter().map(|(_, place)| place).collect()
}

impl CloserLook {
    /// Looks closely at some wide entries of a census.
    ///
    /// # Errors
    ///
    /// `Profile` when their parts can't be transformed.
    pub(crate) fn at(
        census: &ColourCensus,
        mut places: BTreeSet<usize>,
        source: &SourceColours,
    ) -> Result<Self, EstimatingError> {
        let ranges = census.wide_parts();
        places.retain(|place| ranges[*place].len() > 1);
        if places.is_empty() {
            return Ok(Self { replaced: places, parts: Vec::new() });
        }
        let entries: Vec<CensusEntry> = census.entries().collect();
        let parts = places.iter().flat_map(|place| &entries[ranges[*place].clone()]);
        let parts: Vec<CensusEntry> = parts.copied().collect();
        Ok(Self { parts: source.wanted_of(parts.into_par_iter())?, replaced: places })
    }

    /// Proved wide entries without those that are left out, followed by their parts.
    pub(crate) fn at_proved(
        &self,
        wide: Vec<(ProvedColour, u64)>,
        proof: &PictureProof<'_>,
    ) -> Vec<(ProvedColour, u64)> {
        if self.replaced.is_empty() {
            return wide;
        }
        let kept = wide.into_iter().enumerate().filter(|(place, _)| !self.replaced.contains(place));
        kept.map(|(_, colour)| colour).chain(proof.prove(&self.parts)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_largest_are_found_and_the_first_of_equal_ones() {
        let differences = (0..400).map(|place| f64::from(place % 200));
        let found: BTreeSet<usize> = largest(differences).into_iter().collect();
        let expected: BTreeSet<usize> = (136..200).chain(336..400).collect();
        assert_eq!(found, expected);
        let equal: BTreeSet<usize> = largest([1.0; 160].into_iter()).into_iter().collect();
        assert_eq!(equal, (0..128).collect());
        assert_eq!(largest([2.0, 1.0].into_iter()), [0, 1]);
    }
}
