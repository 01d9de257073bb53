use std::collections::BTreeSet;
use std::num::NonZeroU32;

use crate::tags::Directory;
use crate::{FileFormat, IntakeError, Notice};

use super::{FileTags, tag};

/// The directories of a file that are pages, and the one that is wanted.
pub(super) struct Pages {
    pub(super) wanted: Directory,
    pub(super) count: u32,
    /// The chain of directories goes on where it can't be followed.
    broken: bool,
}

/// Most directories that are followed; our choice: a scanned book has hundreds.
const MOST_DIRECTORIES: usize = 1 << 16;

impl Pages {
    /// Follows the chain of directories. Reduced copies of a picture and masks are no pages; the
    /// first directory is always one, so that a file with nothing else is told what it is.
    ///
    /// # Errors
    ///
    /// `NoSuchPage`; damage of the first or the wanted directory. A chain that breaks later or
    /// returns to itself ends there.
    pub(super) fn find(
        tags: &mut FileTags<'_>,
        first: u64,
        page: NonZeroU32,
    ) -> Result<Self, IntakeError> {
        let mut directory = tags.directory(first)?;
        let (mut seen, mut count) = (BTreeSet::from([first]), 0);
        let (mut wanted, mut broken) = (None, false);
        loop {
            let next = directory.next;
            if count == 0 || is_page(tags, &directory) {
                count += 1;
                if count == page.get() {
                    wanted = Some(directory);
                }
            }
            if next == 0 {
                break;
            }
            if !seen.insert(next) || seen.len() > MOST_DIRECTORIES {
                broken = true;
                break;
            }
            match tags.directory(next) {
                Ok(following) => directory = following,
                Err(fault) if wanted.is_none() => return Err(fault),
                Err(_) => {
                    broken = true;
                    break;
                }
            }
        }
        let (format, page) = (FileFormat::Tiff, page.get());
        let wanted = wanted.ok_or(IntakeError::NoSuchPage { format, page, pages: count })?;
        Ok(Self { wanted, count, broken })
    }

    /// What is said of the other pages.
    pub(super) fn notice(&self, page: u32) -> Option<Notice> {
        match (self.count, self.broken) {
            (1, false) => None,
            (count, false) => Some(Notice::FurtherPictures { page, pages: Some(count) }),
            (_, true) => Some(Notice::FurtherPictures { page, pages: None }),
        }
    }
}

/// Neither a reduced copy nor a mask (TIFF 6.0, NewSubfileType and SubfileType).
fn is_page(tags: &mut FileTags<'_>, directory: &Directory) -> bool {
    let kind = |tags: &mut FileTags<'_>, tag| tags.first(directory, tag).ok().flatten();
    let new_kind = kind(tags, tag::NEW_SUBFILE_TYPE).unwrap_or(0);
    new_kind & 0b101 == 0 && kind(tags, tag::SUBFILE_TYPE) != Some(2)
}
