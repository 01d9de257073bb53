use std::collections::BTreeMap;

use colour::{Lab, delta_e_00};

use crate::log::Log;
use crate::{ChartFault, ChartRemark, Patch};

/// What becomes of two readings of the same device values that contradict each other.
///
/// Where a patch was read three times or more and most readings agree, the others are doubted either
/// way: nobody has to be asked which of them is right.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Contradictions {
    /// The chart is refused: nothing tells which of the two is right, and a fit must not choose in
    /// silence.
    #[default]
    Refuse,
    /// All of them are doubted, and a fit sets them aside as suspects.
    SetAside,
}

/// Another reading of the same device values, far away.
#[derive(Clone, Debug, PartialEq)]
pub struct OtherReading {
    /// Its line in the file.
    pub line: usize,
    /// Colour difference in ΔE00.
    pub difference: f64,
}

/// The most that two readings of one patch may differ, in ΔE00. Our choice: raw prints repeat
/// themselves within about 2 across a sheet (common practice, no source), dark patches within
/// more; beyond 10 one of the two is another patch.
const MOST_DIFFERENCE: f64 = 10.0;
/// Differences that a report should mention.
const NOTABLE_DIFFERENCE: f64 = 3.0;

/// Doubts or refuses patches of the same device values whose colours contradict each other.
pub(crate) fn check_duplicates(
    patches: &mut [Patch],
    contradictions: Contradictions,
    line: usize,
    log: &mut Log,
) {
    let colours: Vec<Lab> = patches.iter().map(|patch| patch.measurement.lab()).collect();
    let (mut notable, mut largest) = (0, 0.0_f64);
    for group in groups(patches) {
        let difference = |one: usize, other: usize| delta_e_00(colours[one], colours[other]);
        let believed = believed(&group, &difference);
        let reference = believed.unwrap_or(group[0]);
        for &place in &group {
            let apart = difference(place, reference);
            if apart <= MOST_DIFFERENCE {
                if apart > NOTABLE_DIFFERENCE {
                    notable += 1;
                    largest = largest.max(apart);
                }
            } else if believed.is_some() || contradictions == Contradictions::SetAside {
                doubt(patches, place, reference, apart);
                if believed.is_none() {
                    doubt(patches, reference, place, apart);
                }
            } else {
                let fault = ChartFault::ContradictingDuplicate {
                    sample: patches[place].name.clone(),
                    first_line: patches[reference].line,
                    difference: apart,
                    most: MOST_DIFFERENCE,
                };
                log.fault(patches[place].line, fault);
            }
        }
    }
    if notable > 0 {
        log.remark(line, ChartRemark::UnsteadyDuplicates { count: notable, largest });
    }
}

/// Places of the patches that have their device values in common, in the order of the file.
fn groups(patches: &[Patch]) -> Vec<Vec<usize>> {
    let mut groups: BTreeMap<Vec<u64>, Vec<usize>> = BTreeMap::new();
    for (place, patch) in patches.iter().enumerate().filter(|(_, p)| !p.device.is_empty()) {
        let key = patch.device.iter().map(|value| value.to_fraction().to_bits()).collect();
        groups.entry(key).or_default().push(place);
    }
    let mut repeated: Vec<Vec<usize>> =
        groups.into_values().filter(|group| group.len() > 1).collect();
    repeated.sort();
    repeated
}

/// The first reading that more than half of at least three agree with, itself among them.
fn believed(group: &[usize], difference: &dyn Fn(usize, usize) -> f64) -> Option<usize> {
    let agreeing = |one: usize| {
        group.iter().filter(|&&other| difference(one, other) <= MOST_DIFFERENCE).count()
    };
    let is_believed = |&place: &usize| group.len() > 2 && 2 * agreeing(place) > group.len();
    group.iter().copied().find(is_believed)
}

fn doubt(patches: &mut [Patch], place: usize, other: usize, difference: f64) {
    let line = patches[other].line;
    patches[place].other_reading.get_or_insert(OtherReading { line, difference });
}
