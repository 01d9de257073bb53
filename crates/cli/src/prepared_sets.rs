use estimating::{NoCache, Preparation, PreparedSet, SeparationCache};
use service::SharedCache;

use crate::folder_cache::FolderCache;
use crate::ink_set_source::read_ink_set;
use crate::output_profile_source::read_output_profile;
use crate::print_arguments::DeviceArguments;
use crate::shell_error::ShellError;

/// Reads and builds ink sets, before any picture is opened.
pub(crate) fn prepare(
    arguments: &DeviceArguments,
    ink_sets: &[&str],
) -> Result<Vec<PreparedSet>, ShellError> {
    let mut prepared: Vec<PreparedSet> = Vec::new();
    for name in ink_sets {
        let set = prepare_one(arguments, name)?;
        if prepared.iter().any(|other| other.set().name == set.set().name) {
            return Err(ShellError::SameInkSetTwice { name: set.set().name.clone() });
        }
        prepared.push(set);
    }
    Ok(prepared)
}

/// Reads and builds one ink set.
pub(crate) fn prepare_one(
    arguments: &DeviceArguments,
    name: &str,
) -> Result<PreparedSet, ShellError> {
    let parsed = read_ink_set(name)?;
    let output_profile = read_output_profile(&parsed.set, name)?;
    let preparation = Preparation {
        substrate: arguments.substrate.as_deref(),
        print_mode: arguments.print_mode.as_deref(),
        policy: arguments.policy(),
        output_profile: output_profile.as_deref(),
    };
    let cache = cache(arguments.no_cache);
    PreparedSet::new(parsed, preparation, cache.as_ref()).map_err(ShellError::UnusableInkSet)
}

/// The user's cache for the threads of a service, or none where it has no place.
pub(crate) fn shared_cache() -> SharedCache {
    match FolderCache::of_user() {
        Some(folder) => Box::new(folder),
        None => Box::new(NoCache),
    }
}

/// The user's cache, or none where it is unwanted or has no place.
pub(crate) fn cache(unwanted: bool) -> Box<dyn SeparationCache> {
    match FolderCache::of_user() {
        Some(folder) if !unwanted => Box::new(folder),
        _ => Box::new(NoCache),
    }
}
