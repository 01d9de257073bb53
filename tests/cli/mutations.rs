//! Damaged files of every format through the program: refused, or answered as if whole only where
//! the format has no means to tell. `benches` runs the same with ten thousand of each.

use std::fs;

use inkfathom_tests::{Damage, mutated, repository};
use serde_json::Value;

use crate::program::inkfathom;

/// Damaged files of each format; a longer run is a command of `benches`.
const OF_EACH: u64 = 200;

/// Sound files to damage, one of each format.
const SOUND: [&str; 11] = [
    "formats/jpeg-rgb-420.jpg",
    "formats/jpeg-cmyk.jpg",
    "formats/png-rgb-alpha-8.png",
    "formats/tiff-rgb-8-zip-tiles.tif",
    "formats/tiff-cmyk-8-lzw-strips.tif",
    "formats/webp-alpha-lossless.webp",
    "formats/gif-interlaced.gif",
    "formats/bmp-palette.bmp",
    "formats/pnm-gray-digits.pgm",
    "formats/svg-shapes.svg",
    "formats/pdf-image.pdf",
];

#[test]
fn damaged_files_neither_stop_the_program_nor_pass_when_they_are_cut() {
    for name in SOUND {
        let folder = tempfile::tempdir().unwrap();
        let sound = fs::read(repository().join("testimages").join(name)).unwrap();
        let extension = name.rsplit('.').next().unwrap();
        let files: Vec<_> = (0..OF_EACH)
            .map(|number| {
                let path = folder.path().join(format!("{number}.{extension}"));
                let (bytes, damage) = mutated(&sound, number);
                fs::write(&path, &bytes).unwrap();
                (path.to_str().unwrap().to_owned(), damage, lost(&sound, &bytes))
            })
            .collect();
        let arguments = ["estimate", "--width", "10cm", "--format", "json"].into_iter();
        // That it ends, without a panic and with a code of the table, is checked there.
        let run = inkfathom(arguments.chain(files.iter().map(|file| file.0.as_str())));
        let document: Value = serde_json::from_str(&run.data).unwrap();
        let outcomes = document["files"].as_array().unwrap();
        assert_eq!(outcomes.len(), files.len(), "{name}");
        for (outcome, (path, damage, lost)) in outcomes.iter().zip(&files) {
            let cut = *damage == Damage::Cut && *lost;
            assert!(!(cut && is_answered(outcome)), "{path} is cut and was answered");
        }
        let refused = outcomes.iter().filter(|outcome| !is_answered(outcome)).count();
        assert!(refused > files.len() / 10, "{name}: {refused} refused");
    }
}

/// Whether more than white space at the end of a text is missing.
fn lost(sound: &[u8], bytes: &[u8]) -> bool {
    sound.get(bytes.len()..).is_some_and(|end| !end.trim_ascii().is_empty())
}

fn is_answered(outcome: &Value) -> bool {
    outcome["estimates"].as_array().is_some_and(|estimates| !estimates.is_empty())
}
