use std::collections::BTreeMap;

use colour::delta_e_00;

use crate::log::Log;
use crate::{ChartFault, ChartRemark, Patch};

/// The most that two readings of one patch may differ, in ΔE00. Our choice: raw prints repeat
/// themselves within about 2 across a sheet (common practice, no source), dark patches within
/// more; beyond 10 one of the two is another patch.
const MOST_DIFFERENCE: f64 = 10.0;
/// Differences that a report should mention.
const NOTABLE_DIFFERENCE: f64 = 3.0;

/// Refuses patches of the same device values whose colours contradict each other.
pub(crate) fn refuse_contradictions(patches: &[Patch], line: usize, log: &mut Log) {
    let mut first = BTreeMap::new();
    let (mut notable, mut largest) = (0, 0.0_f64);
    for patch in patches.iter().filter(|patch| !patch.device.is_empty()) {
        let key: Vec<u64> = patch.device.iter().map(|v| v.to_fraction().to_bits()).collect();
        let other: &Patch = first.entry(key).or_insert(patch);
        let difference = delta_e_00(patch.measurement.lab(), other.measurement.lab());
        if difference > MOST_DIFFERENCE {
            let fault = ChartFault::ContradictingDuplicate {
                sample: patch.name.clone(),
                first_line: other.line,
                difference,
                most: MOST_DIFFERENCE,
            };
            log.fault(patch.line, fault);
        } else if difference > NOTABLE_DIFFERENCE {
            notable += 1;
            largest = largest.max(difference);
        }
    }
    if notable > 0 {
        log.remark(line, ChartRemark::UnsteadyDuplicates { count: notable, largest });
    }
}
