use std::fmt;
use std::num::NonZeroU32;

use units::{Length, Volume};

use crate::CalendarDate;

/// A printed job with what was measured of its ink.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// Day of the print.
    pub printed_on: CalendarDate,
    /// The picture's file as it was named.
    pub picture: String,
    /// BLAKE3 hash of the picture's file.
    pub content_hash: [u8; 32],
    /// Name of the ink set.
    pub ink_set: String,
    /// Fingerprint of the ink set when the job was added.
    pub fingerprint: String,
    /// Name of the substrate.
    pub substrate: String,
    /// Name of the print mode.
    pub print_mode: String,
    /// How colours were rendered, in the shell's words.
    pub rendering: String,
    /// How the separation was picked, in the shell's words.
    pub policy: String,
    /// Printed width of a copy.
    pub width: Length,
    /// Printed height of a copy.
    pub height: Length,
    /// Number of prints.
    pub copies: NonZeroU32,
    /// Where the millilitres come from.
    pub measured_by: MeasuredBy,
    /// The smallest step of the readings.
    pub resolution: Volume,
    /// What the readings hold beside the picture's ink.
    pub includes: Includes,
    /// The millilitres.
    pub readings: Readings,
    /// Anything worth keeping in words.
    pub note: String,
}

/// A job of the ledger.
#[derive(Clone, Debug, PartialEq)]
pub struct RecordedJob {
    /// Its number.
    pub number: i64,
    /// Day on which it was added.
    pub added_on: CalendarDate,
    /// Whether calibrations leave it out by somebody's wish.
    pub left_out: bool,
    /// Number of corrections.
    pub corrections: i64,
    /// The job as it stands after them.
    pub job: Job,
}

/// Measured millilitres, all copies together.
#[derive(Clone, Debug, PartialEq)]
pub enum Readings {
    /// Of single inks, by name, each at most once.
    ByInk(Vec<(String, Volume)>),
    /// Of all inks together.
    Total(Volume),
}

/// Where measured millilitres come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MeasuredBy {
    /// The machine's own count, mostly of drops.
    MachineCount,
    /// Weighing prints or cartridges.
    Weighing,
    /// The sizes of cartridges that were changed.
    CartridgeChange,
}

/// What a reading holds beside the picture's ink.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Includes {
    /// Ink at the start of the job.
    pub start_up: bool,
    /// Ink of a cleaning.
    pub cleaning: bool,
    /// Ink on margins, marks and strips.
    pub margins: bool,
}

impl MeasuredBy {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::MachineCount, Self::Weighing, Self::CartridgeChange];

    /// The word in files and lists.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::MachineCount => "machine-count",
            Self::Weighing => "weighing",
            Self::CartridgeChange => "cartridge-change",
        }
    }

    /// Reads the word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|one| one.word() == word)
    }
}

impl Includes {
    const WORDS: [&'static str; 3] = ["start-up", "cleaning", "margins"];

    /// Reads words joined by `+`; nothing reads as nothing.
    ///
    /// # Errors
    ///
    /// The word that is unknown.
    pub fn from_words(text: &str) -> Result<Self, String> {
        let mut includes = Self::default();
        for word in text.split('+').map(str::trim).filter(|word| !word.is_empty()) {
            match word {
                "start-up" => includes.start_up = true,
                "cleaning" => includes.cleaning = true,
                "margins" => includes.margins = true,
                unknown => {
                    return Err(format!(
                        "`{unknown}` is not part of a reading; write {} or nothing, joined by +",
                        Self::WORDS.join(", ")
                    ));
                }
            }
        }
        Ok(includes)
    }
}

impl fmt::Display for Includes {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let parts = [self.start_up, self.cleaning, self.margins];
        let words = Self::WORDS.into_iter().zip(parts);
        let said: Vec<&str> = words.filter(|(_, part)| *part).map(|(word, _)| word).collect();
        out.write_str(&said.join("+"))
    }
}
