//! Damaged files that the caller accepts: what can be read, and how much is missing.

use std::fs;

use inkfathom_intake::Opening;

use crate::support::{read, read_as};

fn file(path: &str) -> Vec<u8> {
    fs::read(format!("{}/../../testimages/{path}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

fn accepting() -> Opening {
    Opening { accept_damaged: true, ..Opening::default() }
}

/// Files that can be read row by row.
const BY_ROWS: [&str; 9] = [
    "edge/crop-8.png",
    "edge/crop-420.jpg",
    "edge/crop-444.jpg",
    "edge/crop-cmyk.jpg",
    "edge/crop-strips.tif",
    "edge/crop-deflate.tif",
    "edge/crop-tiles.tif",
    "edge/crop.ppm",
    "formats/pnm-gray-digits.pgm",
];

/// Of a file of which seven tenths are there, so much may be lost in rows of blocks or tiles that
/// a decoder had begun, and to pixels that take more bytes below than above.
const MOST_MISSING: f64 = 0.8;

#[test]
fn the_rows_before_the_damage_are_those_of_the_whole_file() {
    for path in BY_ROWS {
        let sound = file(path);
        let whole = read(&sound).unwrap();
        let height = whole.picture.format.height;
        let cut = read_as(&sound[..sound.len() * 7 / 10], &accepting())
            .unwrap_or_else(|error| panic!("{path}: {error}"));
        assert!(!cut.samples.is_empty(), "{path}");
        assert!(whole.samples.starts_with(&cut.samples), "{path}: other pixels");
        let missing: u32 = cut.damage.iter().map(|damage| damage.missing_rows).sum();
        let read = cut.samples.len() / whole.picture.format.samples_per_row();
        assert_eq!(read, (height - missing) as usize, "{path}");
        let share = f64::from(missing) / f64::from(height);
        assert!(share > 0.01 && share < MOST_MISSING, "{path}: {share}");
    }
}

#[test]
fn the_damage_is_told_in_rows_and_percent() {
    let sound = file("edge/crop-strips.tif");
    let cut = read_as(&sound[..sound.len() / 2], &accepting()).unwrap();
    let told = &cut.damage[0].detail;
    assert!(told.contains("of 150 rows (") && told.contains(" %) are missing"), "{told}");
}

#[test]
fn a_sound_file_is_read_as_ever() {
    for path in BY_ROWS {
        let sound = file(path);
        let accepted = read_as(&sound, &accepting()).unwrap();
        assert_eq!(accepted.samples, read(&sound).unwrap().samples, "{path}");
        assert!(accepted.damage.is_empty(), "{path}");
    }
}

#[test]
fn a_file_of_which_no_row_is_left_stays_refused() {
    for path in BY_ROWS {
        let sound = file(path);
        assert!(read_as(&sound[..sound.len().min(60)], &accepting()).is_err(), "{path}");
    }
}
