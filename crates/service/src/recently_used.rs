use std::collections::HashMap;
use std::hash::Hash;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Keeps what was used last, up to so many values.
pub(crate) struct RecentlyUsed<K, V> {
    most: usize,
    kept: Mutex<Kept<K, V>>,
}

struct Kept<K, V> {
    uses: u64,
    values: HashMap<K, (u64, V)>,
}

impl<K: Eq + Hash + Clone, V: Clone> RecentlyUsed<K, V> {
    pub(crate) fn new(most: usize) -> Self {
        Self { most, kept: Mutex::new(Kept { uses: 0, values: HashMap::new() }) }
    }

    pub(crate) fn get(&self, key: &K) -> Option<V> {
        let mut kept = self.locked();
        kept.uses += 1;
        let now = kept.uses;
        let (used, value) = kept.values.get_mut(key)?;
        *used = now;
        Some(value.clone())
    }

    pub(crate) fn keep(&self, key: K, value: V) {
        let mut kept = self.locked();
        kept.uses += 1;
        let now = kept.uses;
        kept.values.insert(key, (now, value));
        while kept.values.len() > self.most {
            let oldest = kept.values.iter().min_by_key(|(_, (used, _))| *used);
            let Some(oldest) = oldest.map(|(key, _)| key.clone()) else { break };
            kept.values.remove(&oldest);
        }
    }

    /// Lets go of what a question does not want kept any more.
    pub(crate) fn forget(&self, gone: impl Fn(&K) -> bool) {
        self.locked().values.retain(|key, _| !gone(key));
    }

    /// A panic of another holder leaves whole values behind.
    fn locked(&self) -> MutexGuard<'_, Kept<K, V>> {
        self.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_used_last_stays() {
        let kept = RecentlyUsed::new(2);
        kept.keep(1, "one");
        kept.keep(2, "two");
        assert_eq!(kept.get(&1), Some("one"));
        kept.keep(3, "three");
        assert_eq!((kept.get(&1), kept.get(&2), kept.get(&3)), (Some("one"), None, Some("three")));
        kept.forget(|key| *key == 1);
        assert_eq!(kept.get(&1), None);
    }
}
