//! What fuzzing runs on any bytes: `tests/fuzz` calls these, and `tests/fuzz_replay.rs` replays
//! them over everything that was ever found. A body may refuse, but neither panic nor hang.

use std::fs;
use std::io::Cursor;
use std::num::NonZeroUsize;
use std::panic;
use std::sync::OnceLock;

use census::{Backdrop, CensusTaker, MOST_PREVIEW_PIXELS, StoredCensus};
use charts::{Chart, SampleNames};
use colour::{ColourModel, Lab};
use icc::{RenderingIntent, SourceProfile, SourceTransform};
use inkset::InkSet;
use intake::{FileFormat, Limits, Opening, open_as};
use ledger::{JobFilter, Ledger, read_job_table};
use pricing::{JobList, PriceList};
use separation::SeparationInputs;

/// Small enough that a run takes milliseconds; what lies above is refused before it is read.
fn limits() -> Limits {
    Limits {
        max_pixels: 4_000_000,
        max_side: 1 << 16,
        max_profile_bytes: 1 << 20,
        max_held_bytes: 64 << 20,
        max_marks: 100_000,
        max_content_bytes: 4 << 20,
    }
}

/// Keeps the fuzzer's hook, which ends the run, from panics of libraries that become a file's error.
pub fn let_caught_panics_pass() {
    let usual = panic::take_hook();
    panic::set_hook(Box::new(move |panic| {
        if !intake::panic_is_caught() {
            usual(panic);
        }
    }));
}

/// Reads a picture to its end and counts it, as whole and as damaged; of one format alone, so
/// that each decoder is searched with all the time there is.
pub fn picture(format: FileFormat, bytes: &[u8]) {
    read(bytes, |found| found == format);
}

/// Reads a picture of any format to its end and counts it, as whole and as damaged.
pub fn any_picture(bytes: &[u8]) {
    read(bytes, |_| true);
}

fn read(bytes: &[u8], wanted: impl Fn(FileFormat) -> bool) {
    for accept_damaged in [false, true] {
        let opening = Opening { accept_damaged, ..Opening::default() };
        let Ok(mut picture) = open_as(Cursor::new(bytes.to_vec()), &limits(), &opening) else {
            continue;
        };
        if !wanted(picture.file_format) {
            return;
        }
        let taker = CensusTaker {
            orientation: picture.orientation,
            backdrop: Backdrop::MediaWhite,
            preview_pixels: MOST_PREVIEW_PIXELS,
            joins: false,
            threads: NonZeroUsize::MIN,
        };
        if let Ok(taken) = taker.take(picture.rows.as_mut()) {
            let all = picture.format.pixels();
            assert!(
                accept_damaged || taken.census.pixels() == all,
                "pixels are missing in silence"
            );
        }
    }
}

/// Reads a profile for each kind of colour, and transforms a few.
pub fn profile(bytes: &[u8]) {
    for model in [ColourModel::Gray, ColourModel::Rgb, ColourModel::Cmyk] {
        let Ok(profile) = SourceProfile::parse(bytes, model) else {
            continue;
        };
        for intent in [
            RenderingIntent::Perceptual,
            RenderingIntent::RelativeColorimetric,
            RenderingIntent::AbsoluteColorimetric,
        ] {
            if let Ok(transform) = SourceTransform::new(&profile, intent) {
                let _ = transform.to_lab(&[0.3; 12]);
                let _ = transform.black_point();
            }
        }
    }
}

/// Reads an ink set.
pub fn ink_set(bytes: &[u8]) {
    if let Ok(text) = str::from_utf8(bytes) {
        let _ = InkSet::parse(text, "fuzzed.toml");
    }
}

/// Reads a stored census, and writes what was read.
pub fn stored_census(bytes: &[u8]) {
    if let Ok(stored) = StoredCensus::from_bytes(bytes) {
        assert_eq!(stored.to_bytes().ok().as_deref(), Some(bytes), "a census changes in storing");
    }
}

/// Reads a price list.
pub fn price_list(bytes: &[u8]) {
    if let Ok(text) = str::from_utf8(bytes) {
        let _ = PriceList::parse(text, "fuzzed.toml");
    }
}

/// Reads the jobs of a month.
pub fn job_list(bytes: &[u8]) {
    if let Ok(text) = str::from_utf8(bytes) {
        let _ = JobList::parse(text, "fuzzed.toml");
    }
}

/// Reads a table of measured jobs.
pub fn job_table(bytes: &[u8]) {
    if let Ok(text) = str::from_utf8(bytes) {
        let _ = read_job_table(text);
    }
}

/// Reads a chart, whose names are labels or steps of one ink.
///
/// # Panics
///
/// When a patch has not a value for each channel.
pub fn chart(bytes: &[u8]) {
    for names in [SampleNames::Labels, SampleNames::StepsOf { ink: "spot".to_owned() }] {
        if let Ok(chart) = Chart::read(bytes, "fuzzed.txt", &names) {
            let mut lengths = chart.patches.iter().map(|patch| patch.device.len());
            assert!(lengths.all(|length| length == chart.channels.len()), "a value is lost");
        }
    }
}

/// Opens a ledger and reads whatever it holds.
pub fn ledger_file(bytes: &[u8]) {
    let Ok(folder) = tempfile::tempdir() else { return };
    let path = folder.path().join("fuzzed.ledger");
    if fs::write(&path, bytes).is_err() {
        return;
    }
    let Ok(ledger) = Ledger::open(&path, ledger::Opening::Existing) else { return };
    let _ = ledger.jobs(JobFilter::default());
    let _ = ledger.corrections(None);
    let _ = ledger.calibrations();
    let _ = ledger.census(&[7; 32]);
}

/// Takes up a stored separation: once the bytes as they are, and once a sound one with numbers
/// written over its tables under a true check sum, which chance would never meet.
///
/// # Panics
///
/// When the bytes pass for a separation, or one that was taken up leaves its limits.
pub fn stored_separation(bytes: &[u8]) {
    static BLACK: OnceLock<Option<(InkSet, Vec<u8>)>> = OnceLock::new();
    let Some((set, sound)) = BLACK.get_or_init(stored_black) else { return };
    let Some(inputs) = SeparationInputs::defaults(set) else { return };
    assert!(inputs.restore(bytes).is_none(), "any bytes pass for a separation");
    let Some(restored) = inputs.restore(&overwritten(sound, bytes)) else { return };
    for (l, a, b) in [(0.0, 0.0, 0.0), (50.0, 60.0, -40.0), (70.0, -30.0, 80.0), (99.0, 0.0, 1.0)] {
        let coverages = restored.separate(Lab { l, a, b }).coverages;
        let (load, most) = (restored.limits().load_of(&coverages), restored.limits().load());
        let room = 1.0 + ROUNDING;
        assert!(
            load.to_millilitres_per_square_metre() <= most.to_millilitres_per_square_metre() * room,
            "a load of {load:?} where {most:?} is the limit"
        );
    }
}

/// Of scaling to a limit.
const ROUNDING: f64 = 1e-9;
/// Bytes of the check sum at the end of a stored separation.
const CHECKSUM: usize = 32;
/// Bytes before the tables: mark, key and number of nodes.
const HEAD: usize = 48;

/// The black of a built-in set and its stored separation: one family, so that it is built quickly.
fn stored_black() -> Option<(InkSet, Vec<u8>)> {
    let mut set = inkset::builtin("five")?.parse().ok()?.set;
    set.inks.retain(|ink| ink.family == inkset::BLACK_FAMILY);
    let inputs = SeparationInputs::defaults(&set)?;
    let bytes = inputs.build().ok()?.to_bytes(&inputs);
    Some((set, bytes))
}

/// A stored separation with six bytes at a time taken as a place and four bytes to write there; the
/// rest is hung on.
fn overwritten(sound: &[u8], patches: &[u8]) -> Vec<u8> {
    let mut content = sound[..sound.len() - CHECKSUM].to_vec();
    let (patches, rest) = patches.as_chunks::<6>();
    for [low, high, number @ ..] in patches {
        let place = HEAD + 4 * usize::from(u16::from_le_bytes([*low, *high]));
        if let Some(number_there) = content.get_mut(place..place + 4) {
            number_there.copy_from_slice(number);
        }
    }
    content.extend(rest);
    let checksum = blake3::hash(&content);
    content.extend(checksum.as_bytes());
    content
}
