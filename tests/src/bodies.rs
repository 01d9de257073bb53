//! What fuzzing runs on any bytes: `tests/fuzz` calls these, and `tests/fuzz_replay.rs` replays
//! them over everything that was ever found. A body may refuse, but neither panic nor hang.

use std::io::Cursor;
use std::num::NonZeroUsize;

use census::{Backdrop, CensusTaker, StoredCensus};
use colour::ColourModel;
use icc::{RenderingIntent, SourceProfile, SourceTransform};
use inkset::InkSet;
use intake::{FileFormat, Limits, Opening, open_as};

/// Small enough that a run takes milliseconds; what lies above is refused before it is read.
fn limits() -> Limits {
    Limits {
        max_pixels: 4_000_000,
        max_side: 1 << 16,
        max_profile_bytes: 1 << 20,
        max_held_bytes: 64 << 20,
    }
}

/// Reads a picture to its end and counts it, as whole and as damaged; of one format alone, so
/// that each decoder is searched with all the time there is.
pub fn picture(format: FileFormat, bytes: &[u8]) {
    for accept_damaged in [false, true] {
        let opening = Opening { accept_damaged, ..Opening::default() };
        let Ok(mut picture) = open_as(Cursor::new(bytes.to_vec()), &limits(), &opening) else {
            continue;
        };
        if picture.file_format != format {
            return;
        }
        let taker = CensusTaker {
            orientation: picture.orientation,
            backdrop: Backdrop::MediaWhite,
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
