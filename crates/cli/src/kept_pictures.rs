use std::fs;
use std::path::Path;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use estimating::{CollectedColours, CountedPicture, Keeping};
use ledger::{FileStamp, KeptForms, PictureStore};

use crate::folder_cache::cache_of_user;

/// Room for counted pictures, and for collected colours, in bytes: two gigabytes hold about two
/// thousand photographs. Our choice.
const ROOM: u64 = 2 << 30;

/// A file that was changed this short a time ago may be changed again without a new time: it is
/// not known by its time yet. Our choice; no file system in use counts coarser (FAT: 2 s).
const UNSETTLED: Duration = Duration::from_secs(3);

/// Pictures that were counted before, in the user's cache folder: what a run over a folder has
/// done already when it is interrupted, and what the next one needs not to read.
///
/// Nothing depends on it but time: what can't be looked up is read, what can't be kept is read
/// again.
pub(crate) struct KeptPictures(Mutex<PictureStore>);

/// What tells that a file has not changed.
pub(crate) struct Stamp {
    path: Vec<u8>,
    bytes: u64,
    modified: i64,
    settled: bool,
}

impl KeptPictures {
    /// The store of this user, if it can be opened.
    pub(crate) fn of_user() -> Option<Self> {
        let folder = cache_of_user()?;
        fs::create_dir_all(&folder).ok()?;
        PictureStore::open(&folder.join("pictures.sqlite"))
            .ok()
            .map(|store| Self(Mutex::new(store)))
    }

    /// The picture of a file that has not changed since it was counted.
    pub(crate) fn unchanged(&self, stamp: &Stamp, keeping: &Keeping<'_>) -> Option<CountedPicture> {
        let hash = self.store().hash_of(stamp.as_stored()).ok()??;
        self.of_hash(&hash, keeping)
    }

    /// The picture of a file whose bytes were counted before, under whatever name.
    pub(crate) fn of_hash(&self, hash: &[u8; 32], keeping: &Keeping<'_>) -> Option<CountedPicture> {
        let bytes = self.store().counted(hash).ok()??;
        CountedPicture::from_known(&bytes, keeping)
    }

    /// The collected colours of a file that has not changed.
    pub(crate) fn collected(&self, stamp: &Stamp) -> Option<CollectedColours> {
        let bytes = {
            let store = self.store();
            let hash = store.hash_of(stamp.as_stored()).ok()??;
            store.collected(&hash).ok()??
        };
        CollectedColours::from_bytes(&bytes)
    }

    /// Keeps a picture that has been counted.
    pub(crate) fn keep(&self, stamp: &Stamp, picture: &CountedPicture, keeping: &Keeping<'_>) {
        if let Some(bytes) = picture.to_known(keeping) {
            let forms = KeptForms { counted: Some(&bytes), collected: None };
            self.keep_forms(stamp, picture.content_hash.as_bytes(), forms);
        }
    }

    /// Keeps collected colours.
    pub(crate) fn keep_collected(&self, stamp: &Stamp, colours: &CollectedColours) {
        if let Some(bytes) = colours.to_bytes() {
            let forms = KeptForms { counted: None, collected: Some(&bytes) };
            self.keep_forms(stamp, colours.content_hash(), forms);
        }
    }

    fn keep_forms(&self, stamp: &Stamp, hash: &[u8; 32], forms: KeptForms<'_>) {
        let file = stamp.settled.then(|| stamp.as_stored());
        // What can't be kept is read again the next time.
        let _ = self.store().keep(file, hash, forms);
    }

    /// Ends the keeping: the oldest pictures go where there are too many.
    pub(crate) fn close(self) {
        let mut store = self.0.into_inner().unwrap_or_else(PoisonError::into_inner);
        // There is room enough until the next time.
        let _ = store.limit(ROOM);
    }

    fn store(&self) -> MutexGuard<'_, PictureStore> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Stamp {
    /// The stamp of a file, to be taken before it is read.
    pub(crate) fn of(path: &Path) -> Option<Self> {
        let path = fs::canonicalize(path).ok()?;
        let facts = fs::metadata(&path).ok()?;
        let modified = facts.modified().ok()?;
        let age = SystemTime::now().duration_since(modified).ok();
        Some(Self {
            path: path.into_os_string().into_encoded_bytes(),
            bytes: facts.len(),
            modified: i64::try_from(modified.duration_since(UNIX_EPOCH).ok()?.as_nanos()).ok()?,
            settled: facts.is_file() && age.is_some_and(|age| age > UNSETTLED),
        })
    }

    const fn as_stored(&self) -> FileStamp<'_> {
        FileStamp { path: self.path.as_slice(), bytes: self.bytes, modified: self.modified }
    }
}
