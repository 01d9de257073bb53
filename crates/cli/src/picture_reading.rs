use std::fs;
use std::num::{NonZeroU32, NonZeroUsize};
use std::path::Path;

use colour::Lab;
use estimating::{CountedPicture, Counting, EstimatingError, Keeping, PreviewUse};
use icc::SourceProfile;
use intake::{IntakeError, Limits, Opening, Picture, open_as};

use crate::input::open_file;
use crate::kept_censuses::KeptCensuses;
use crate::kept_pictures::{KeptPictures, Stamp};
use crate::picture_options::PictureOptions;
use crate::shell_error::ShellError;

/// Reads picture files as the options say.
pub(crate) struct PictureReading<'a> {
    options: &'a PictureOptions,
    assumed: Option<SourceProfile>,
    limits: Limits,
}

/// What is known of pictures from before, and what is to be known of them.
#[derive(Clone, Copy, Default)]
pub(crate) struct Memory<'a> {
    /// Pictures of this user's runs over many files.
    pub(crate) pictures: Option<&'a KeptPictures>,
    /// Pictures that the ledger keeps.
    pub(crate) censuses: Option<&'a KeptCensuses>,
    /// The paper's colour where transparent parts show it.
    pub(crate) paper: Option<Lab>,
    /// What previews are for.
    pub(crate) preview: PreviewUse,
}

/// One page of a file that was asked for.
pub(crate) struct Page<'a> {
    path: &'a Path,
    number: NonZeroU32,
    /// The first page of a file is opened to learn how many there are.
    opened: Option<Result<Picture, IntakeError>>,
    /// The file's name, with the page's number where it has several.
    pub(crate) name: String,
    /// Whether the file has more pages than this one.
    among_several: bool,
}

impl Page<'_> {
    /// A name of the file's, with the page's number where the file has several.
    pub(crate) fn of(&self, name: &str) -> String {
        titled(name, self.number, self.among_several)
    }

    /// The file's name without folder and ending, with the page's number where it has several.
    pub(crate) fn stem(&self) -> String {
        let stem = self.path.file_stem().unwrap_or_default().to_string_lossy();
        if self.among_several { format!("{stem}-page-{}", self.number) } else { stem.into_owned() }
    }
}

/// A name with the page's number where it has several.
fn titled(name: &str, page: NonZeroU32, among_several: bool) -> String {
    if among_several { format!("{name} (page {page})") } else { name.to_owned() }
}

impl PictureReading<'_> {
    /// Reads the profile that is to be assumed.
    pub(crate) fn new(options: &PictureOptions) -> Result<PictureReading<'_>, ShellError> {
        let assumed = options.assume_profile.as_deref().map(read_profile).transpose()?;
        Ok(PictureReading { options, assumed, limits: options.limits() })
    }

    /// The pages of a file that were asked for; one for a file that can't be opened, which tells
    /// why when it is counted.
    pub(crate) fn pages<'path>(&self, path: &'path Path) -> Vec<Page<'path>> {
        let first = self.options.page.first();
        let opened = self.open(path, first);
        let pages = opened.as_ref().map_or(1, |picture| picture.pages);
        let name = path.display().to_string();
        let mut opened = Some(opened);
        let mut page = |number: NonZeroU32| Page {
            path,
            number,
            opened: opened.take_if(|_| number == first),
            name: titled(&name, number, pages > 1),
            among_several: pages > 1,
        };
        match pages {
            1 => vec![page(first)],
            pages => self.options.page.of(pages).into_iter().map(page).collect(),
        }
    }

    /// Reads the pages of a file that were asked for, one after the other, or recalls what was
    /// counted of them; `then` gets the name of each, and the counted picture or its fault.
    pub(crate) fn each_page<T>(
        &self,
        path: &Path,
        threads: NonZeroUsize,
        memory: Memory<'_>,
        mut then: impl FnMut(String, Result<CountedPicture, EstimatingError>) -> T,
    ) -> Vec<T> {
        let keeping = self.keeping(&memory);
        // Nothing tells pages or ways of drawing apart in what is kept.
        let pictures = memory.pictures.filter(|_| self.is_usual());
        // Before the file is read: what changes while it is read must not be taken as known.
        let stamp = pictures.and_then(|_| Stamp::of(path));
        let known = pictures.zip(stamp.as_ref());
        if let Some(known) = known.and_then(|(kept, stamp)| kept.unchanged(stamp, &keeping)) {
            return vec![then(path.display().to_string(), Ok(known))];
        }
        let pages = self.pages(path);
        let known = known.filter(|_| pages.len() == 1);
        pages
            .into_iter()
            .map(|page| {
                let name = page.name.clone();
                let counted = match known {
                    Some(known) => self.count_and_keep(page, threads, known, &keeping),
                    None => self.count(page, threads, memory),
                };
                then(name, counted)
            })
            .collect()
    }

    /// How pictures are kept for these options.
    pub(crate) const fn keeping(&self, memory: &Memory<'_>) -> Keeping<'_> {
        let preview = !matches!(memory.preview, PreviewUse::None);
        Keeping { paper: memory.paper, assumed: self.assumed.as_ref(), preview }
    }

    /// Whether files are opened in the usual way.
    pub(crate) fn is_usual(&self) -> bool {
        self.options.opening(self.options.page.first()) == Opening::default()
    }

    /// Counts a file's only page, unless its bytes are known under another name.
    fn count_and_keep(
        &self,
        page: Page<'_>,
        threads: NonZeroUsize,
        (kept, stamp): (&KeptPictures, &Stamp),
        keeping: &Keeping<'_>,
    ) -> Result<CountedPicture, EstimatingError> {
        let picture = page.opened.unwrap_or_else(|| self.open(page.path, page.number))?;
        if picture.pages == 1
            && let Some(known) = kept.of_hash(picture.content_hash.as_bytes(), keeping)
        {
            kept.keep(stamp, &known, keeping);
            return Ok(known);
        }
        let has_one_page = picture.pages == 1;
        let preview = if keeping.preview { PreviewUse::Verdict } else { PreviewUse::None };
        let Keeping { paper, assumed, .. } = *keeping;
        let counting = Counting { assumed, paper, threads, preview };
        let counted = CountedPicture::count_for(picture, &counting)?;
        if has_one_page {
            kept.keep(stamp, &counted, keeping);
        }
        Ok(counted)
    }

    /// Reads a page to its end, or recalls what a ledger keeps of it.
    pub(crate) fn count(
        &self,
        page: Page<'_>,
        threads: NonZeroUsize,
        memory: Memory<'_>,
    ) -> Result<CountedPicture, EstimatingError> {
        let Memory { censuses, paper, preview, .. } = memory;
        let usual = self.options.opening(page.number) == Opening::default();
        let picture = page.opened.unwrap_or_else(|| self.open(page.path, page.number))?;
        let assumed = self.assumed.as_ref();
        match censuses.filter(|_| usual) {
            Some(kept) => CountedPicture::recall_or_count(picture, assumed, paper, threads, kept),
            None => {
                CountedPicture::count_for(picture, &Counting { assumed, paper, threads, preview })
            }
        }
    }

    /// The profile for pictures that bring none.
    pub(crate) const fn assumed(&self) -> Option<&SourceProfile> {
        self.assumed.as_ref()
    }

    /// Opens the one page that was asked for.
    pub(crate) fn open_only(&self, path: &Path) -> Result<Picture, IntakeError> {
        self.open(path, self.options.page.first())
    }

    fn open(&self, path: &Path, page: NonZeroU32) -> Result<Picture, IntakeError> {
        open_as(open_file(path)?, &self.limits, &self.options.opening(page))
    }
}

fn read_profile(path: &Path) -> Result<SourceProfile, ShellError> {
    let path = path.to_owned();
    let bytes = match fs::read(&path) {
        Ok(bytes) => bytes,
        Err(cause) => return Err(ShellError::UnreadableProfile { path, cause }),
    };
    SourceProfile::parse_any(&bytes).map_err(|cause| ShellError::UnusableProfile { path, cause })
}
