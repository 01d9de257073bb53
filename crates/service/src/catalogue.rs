use std::fs;
use std::io::Read as _;
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

use estimating::{MOST_PROFILE_BYTES, NoCache, Preparation, PreparedSet, SeparationCache};
use inkset::{InkSet, ParsedInkSet, SeparationDefaults, builtin, nearest_name};
use ledger::StoredCalibration;
use pricing::{PriceList, builtin_price_list};
use separation::InkPolicy;

use crate::device_calibration::device_calibration;
use crate::recently_used::RecentlyUsed;
use crate::shared_ledger::SharedLedger;
use crate::{InkSetForm, PriceListForm, Problem, ProblemClass, WhatIf};

/// Keeps separations between runs, for all threads.
pub type SharedCache = Box<dyn SeparationCache + Send + Sync>;

/// The ink sets and price lists on offer.
pub(crate) struct Catalogue {
    sets: Vec<OfferedSet>,
    set_forms: Vec<InkSetForm>,
    lists: Vec<(String, PriceList)>,
    list_forms: Vec<PriceListForm>,
    prepared: RecentlyUsed<SetKey, Arc<PreparedSet>>,
    /// One separation is built at a time: it takes all processors.
    building: Mutex<()>,
    cache: SharedCache,
}

struct OfferedSet {
    parsed: ParsedInkSet,
    output_profile: Option<Vec<u8>>,
}

/// What a prepared set was prepared for.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub(crate) struct SetKey {
    set: String,
    substrate: String,
    print_mode: String,
    policy: String,
    /// Name and version, or nothing.
    calibration: String,
}

/// A set with what it was prepared for.
pub(crate) type KeyedSet = (SetKey, Arc<PreparedSet>);

/// Prepared sets that are held: about 2 MB each. Our choice.
const MOST_PREPARED: usize = 32;

impl Catalogue {
    /// Reads all sets and lists; every fault is told.
    pub(crate) fn read(
        sets: &[String],
        lists: &[String],
        cache: SharedCache,
    ) -> Result<Self, Vec<String>> {
        let mut faults = Vec::new();
        let mut keep = |fault: String| faults.push(fault);
        let sets: Vec<OfferedSet> =
            sets.iter().filter_map(|name| read_set(name).map_err(&mut keep).ok()).collect();
        let lists: Vec<(String, PriceList)> =
            lists.iter().filter_map(|name| read_list(name).map_err(&mut keep).ok()).collect();
        let forms = sets.iter().map(|offered| InkSetForm::of(&offered.parsed.set));
        let set_forms: Vec<InkSetForm> =
            forms.filter_map(|form| form.map_err(|fault| keep(fault.to_string())).ok()).collect();
        let list_forms = lists.iter().map(|(name, list)| PriceListForm::of(name, list)).collect();
        let prepared = RecentlyUsed::new(MOST_PREPARED);
        let building = Mutex::new(());
        if faults.is_empty() {
            Ok(Self { sets, set_forms, lists, list_forms, prepared, building, cache })
        } else {
            Err(faults)
        }
    }

    pub(crate) fn set_forms(&self) -> &[InkSetForm] {
        &self.set_forms
    }

    pub(crate) fn list_forms(&self) -> &[PriceListForm] {
        &self.list_forms
    }

    /// The names of the sets on offer, the first for uploads.
    pub(crate) fn set_names(&self) -> Vec<String> {
        self.set_forms.iter().map(|form| form.name.clone()).collect()
    }

    /// A price list by its name, or the first one.
    pub(crate) fn price_list(&self, name: Option<&str>) -> Result<&PriceList, Problem> {
        let names = || self.lists.iter().map(|(known, _)| known.as_str());
        let found = match name {
            None => self.lists.first(),
            Some(name) => self.lists.iter().find(|(known, _)| known == name),
        };
        found.map(|(_, list)| list).ok_or_else(|| {
            let detail = unknown("price list", name.unwrap_or_default(), names());
            Problem::new(ProblemClass::PriceList, detail)
        })
    }

    /// A set prepared as a question asks, with the calibration that the ledger says is active.
    pub(crate) fn prepare(
        &self,
        name: &str,
        what_if: &WhatIf,
        ledger: &SharedLedger,
    ) -> Result<KeyedSet, Problem> {
        let key = self.key(name, what_if, ledger)?;
        if let Some(ready) = self.prepared.get(&key) {
            return Ok((key, ready));
        }
        let _building = self.building.lock().unwrap_or_else(PoisonError::into_inner);
        // Another may have built it while this one waited.
        if let Some(ready) = self.prepared.get(&key) {
            return Ok((key, ready));
        }
        let offered = self.offered(name)?;
        let calibration = match &key.calibration {
            none if none.is_empty() => None,
            _ => ledger.lock().active_calibration(&offered.parsed.set.name, &key.print_mode)?,
        };
        let ready = Arc::new(self.build(offered, &key, what_if.policy()?, calibration)?);
        self.prepared.keep(key.clone(), Arc::clone(&ready));
        Ok((key, ready))
    }

    /// A set that is prepared as a question asks, or nothing if that is still to be done.
    pub(crate) fn ready(
        &self,
        name: &str,
        what_if: &WhatIf,
        ledger: &SharedLedger,
    ) -> Result<Option<KeyedSet>, Problem> {
        let key = self.key(name, what_if, ledger)?;
        Ok(self.prepared.get(&key).map(|ready| (key, ready)))
    }

    fn key(&self, name: &str, what_if: &WhatIf, ledger: &SharedLedger) -> Result<SetKey, Problem> {
        let set = &self.offered(name)?.parsed.set;
        let policy = what_if.policy()?;
        let substrate = set.substrate(what_if.substrate.as_deref())?.name.clone();
        let print_mode = set.print_mode(what_if.print_mode.as_deref())?.name.clone();
        let label = ledger.lock().active_label(&set.name, &print_mode)?;
        Ok(SetKey {
            set: name.to_owned(),
            substrate,
            print_mode,
            policy: format!("{policy:?}"),
            calibration: label.unwrap_or_default(),
        })
    }

    /// Refuses a set that is not on offer, and names that it lacks, before anything is built.
    pub(crate) fn check(&self, name: &str, what_if: &WhatIf) -> Result<(), Problem> {
        let set = &self.offered(name)?.parsed.set;
        set.substrate(what_if.substrate.as_deref())?;
        set.print_mode(what_if.print_mode.as_deref())?;
        Ok(())
    }

    fn build(
        &self,
        offered: &OfferedSet,
        key: &SetKey,
        policy: InkPolicy,
        calibration: Option<StoredCalibration>,
    ) -> Result<PreparedSet, Problem> {
        let preparation = Preparation {
            substrate: Some(&key.substrate),
            print_mode: Some(&key.print_mode),
            policy,
            output_profile: offered.output_profile.as_deref(),
        };
        // Strangers may ask for any number of policies: those are not kept on disk.
        let cache: &dyn SeparationCache =
            if policy == InkPolicy::OfSet { self.cache.as_ref() } else { &NoCache };
        let prepared = PreparedSet::new(offered.parsed.clone(), preparation, cache)?;
        Ok(match calibration {
            None => prepared,
            Some(stored) => prepared.with_calibration(device_calibration(stored))?,
        })
    }

    fn offered(&self, name: &str) -> Result<&OfferedSet, Problem> {
        self.sets.iter().find(|offered| offered.parsed.set.name == name).ok_or_else(|| {
            let names = self.set_forms.iter().map(|form| form.name.as_str());
            Problem::new(ProblemClass::InkSet, unknown("ink set", name, names))
        })
    }
}

fn unknown<'a>(what: &str, name: &str, known: impl Iterator<Item = &'a str> + Clone) -> String {
    let all = known.clone().collect::<Vec<_>>().join(", ");
    let nearest = nearest_name(name, known)
        .map_or_else(String::new, |nearest| format!(", did you mean `{nearest}`?"));
    // What a stranger wrote is repeated, but not at any length.
    let name: String = name.chars().take(60).collect();
    format!("{what} `{name}` is not on offer here ({all}){nearest}")
}

fn read_set(name: &str) -> Result<OfferedSet, String> {
    let (text, origin) = match builtin(name) {
        Some(set) => (set.text.to_owned(), format!("built-in set {name}")),
        None => (read_text("ink set", name)?, name.to_owned()),
    };
    let parsed = InkSet::parse(&text, &origin).map_err(|fault| fault.to_string())?;
    let output_profile = match &parsed.set.separation {
        SeparationDefaults::OutputProfile(stated) => {
            let folder = Path::new(name).parent().unwrap_or(Path::new(""));
            Some(read_profile(&folder.join(stated)).map_err(|cause| {
                format!("output profile of ink set `{name}`: {cause}; correct output_profile")
            })?)
        }
        SeparationDefaults::Built(_) => None,
    };
    Ok(OfferedSet { parsed, output_profile })
}

fn read_list(name: &str) -> Result<(String, PriceList), String> {
    let list = match builtin_price_list(name) {
        Some(list) => list.parse(),
        None => PriceList::parse(&read_text("price list", name)?, name),
    };
    let list = list.map_err(|fault| fault.to_string())?;
    Ok((list.name.clone(), list))
}

fn read_text(what: &str, name: &str) -> Result<String, String> {
    fs::read_to_string(name).map_err(|cause| {
        format!("{what} `{name}` is neither built in nor a file that can be read: {cause}")
    })
}

/// No more than a profile may have, and one byte more for the refusal.
fn read_profile(path: &Path) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    fs::File::open(path)?.take(MOST_PROFILE_BYTES as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}
