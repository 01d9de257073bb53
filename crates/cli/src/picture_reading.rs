use std::fs;
use std::num::{NonZeroU32, NonZeroUsize};
use std::path::Path;

use colour::Lab;
use estimating::{CountedPicture, EstimatingError};
use icc::SourceProfile;
use intake::{IntakeError, Limits, Opening, Picture, open_as};

use crate::input::open_file;
use crate::kept_censuses::KeptCensuses;
use crate::picture_options::PictureOptions;
use crate::shell_error::ShellError;

/// Reads picture files as the options say.
pub(crate) struct PictureReading<'a> {
    options: &'a PictureOptions,
    assumed: Option<SourceProfile>,
    limits: Limits,
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

impl<'a> PictureReading<'a> {
    /// Reads the profile that is to be assumed.
    pub(crate) fn new(options: &'a PictureOptions) -> Result<Self, ShellError> {
        let assumed = options.assume_profile.as_deref().map(read_profile).transpose()?;
        Ok(Self { options, assumed, limits: options.limits() })
    }

    /// The pages of a file that were asked for; one for a file that can't be opened, which tells
    /// why when it is counted.
    pub(crate) fn pages<'p>(&self, path: &'p Path) -> Vec<Page<'p>> {
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

    /// Reads a page to its end, or recalls what was counted of it.
    pub(crate) fn count(
        &self,
        page: Page<'_>,
        paper: Option<Lab>,
        threads: NonZeroUsize,
        censuses: Option<&KeptCensuses>,
    ) -> Result<CountedPicture, EstimatingError> {
        let usual = self.options.opening(page.number) == Opening::default();
        let picture = page.opened.unwrap_or_else(|| self.open(page.path, page.number))?;
        let assumed = self.assumed.as_ref();
        match censuses.filter(|_| usual) {
            Some(kept) => CountedPicture::recall_or_count(picture, assumed, paper, threads, kept),
            None => CountedPicture::count_assuming(picture, assumed, paper, threads),
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
