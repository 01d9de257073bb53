use profile_making::ProfileMaking;

use crate::{EstimatingError, PreparedSet};

/// The built separation of a prepared set as an ICC output profile, as a file holds it.
///
/// `made` is the time of making: year, month, day, hour, minute, second, in universal time.
///
/// # Errors
///
/// `SeparatedByProfile` for a set that an output profile separates already.
pub fn output_profile_of(
    prepared: &PreparedSet,
    made: [u16; 6],
) -> Result<Vec<u8>, EstimatingError> {
    let set = prepared.set();
    let by_profile = || EstimatingError::SeparatedByProfile { set: set.name.clone() };
    let making = ProfileMaking {
        separation: prepared.built_separation().ok_or_else(by_profile)?,
        set,
        substrate: prepared.substrate(),
        mode: prepared.print_mode(),
    };
    Ok(making.profile(made).to_bytes())
}
