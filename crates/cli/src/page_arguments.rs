use clap::Args;
use report::Letter;

/// What a page says of itself.
#[derive(Debug, Args)]
#[command(next_help_heading = "With --format html")]
pub(crate) struct PageArguments {
    /// Who sends the page
    #[arg(long, value_name = "NAME")]
    sender: Option<String>,
    /// Title of the page
    #[arg(long, value_name = "TEXT")]
    title: Option<String>,
    /// Date of the page, as it is to be read
    #[arg(long, value_name = "DATE")]
    date: Option<String>,
    /// A line that is to be seen before anything else
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,
}

impl PageArguments {
    /// The page's letterhead.
    pub(crate) fn letter(&self) -> Letter {
        Letter {
            sender: self.sender.clone(),
            title: self.title.clone(),
            date: self.date.clone(),
            note: self.note.clone(),
        }
    }
}

/// Pixels of all pictures on a page together: with a fifth of a byte for each, as measured, pages
/// of any number of pictures stay below 10 MB.
const PAGE_PIXELS: u64 = 16_000_000;
/// Pixels of one picture: larger than a screen shows side by side, or too small to see anything.
const MOST_PIXELS: u64 = 300_000;
const LEAST_PIXELS: u64 = 12_000;

/// Pixels of each picture on a page of so many files and sets: the picture, proof and map of each
/// set, and a map of each pair.
pub(crate) fn pixels_of_each(files: usize, sets: usize) -> u64 {
    let of_file = 1 + 2 * sets + sets * sets.saturating_sub(1) / 2;
    let pictures = u64::try_from(files * of_file).unwrap_or(u64::MAX).max(1);
    (PAGE_PIXELS / pictures).clamp(LEAST_PIXELS, MOST_PIXELS)
}
