use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;

use colour::{Alpha, BitDepth, ColourModel, Orientation};
use inkfathom_intake::{Notice, Picture};

use crate::support::{Whole, open_bytes, read, variant};

/// The means are printed with six digits.
const PRINTED_DIGITS: f64 = 0.6e-6;
/// JPEG decoders round apart; a mean over thirty thousand pixels hardly shows it.
const DECODERS_ROUND: f64 = 2e-4;
/// Resolutions are printed with four digits.
const PRINTED_RESOLUTION: f64 = 0.6e-4;

fn folder(name: &str) -> PathBuf {
    [env!("CARGO_MANIFEST_DIR"), "../../testimages", name].iter().collect()
}

fn file(folder_name: &str, name: &str) -> Vec<u8> {
    let path = folder(folder_name).join(name);
    fs::read(&path).unwrap_or_else(|fault| panic!("{}: {fault}", path.display()))
}

/// Names of the pictures in a folder.
fn pictures(name: &str) -> BTreeSet<String> {
    let named = fs::read_dir(folder(name))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap());
    named.filter(|name| !name.ends_with(".md") && !name.ends_with(".csv")).collect()
}

/// A row of the table of expected values.
struct Expected {
    fields: Vec<String>,
}

impl Expected {
    fn table() -> Vec<Self> {
        let table = String::from_utf8(file("edge", "expected.csv")).unwrap();
        let mut lines = table.lines();
        assert_eq!(
            lines.next(),
            Some(
                "file,width,height,colour_model,bits,orientation,dpi_x,dpi_y,mean_r,mean_g,\
                 mean_b,mean_alpha"
            )
        );
        lines.map(|line| Self { fields: line.split(',').map(str::to_owned).collect() }).collect()
    }

    fn name(&self) -> &str {
        &self.fields[0]
    }

    fn number(&self, index: usize) -> Option<f64> {
        self.fields[index].parse().ok()
    }

    fn check_statements(&self, picture: &Picture) {
        let (name, format) = (self.name(), picture.format);
        let sides = [format.width, format.height].map(|side| side.to_string());
        assert_eq!(sides, [&self.fields[1], &self.fields[2]].map(String::clone), "{name}");
        let model = self.fields[3].as_str();
        let gray = model.starts_with("gray");
        assert_eq!(format.model == ColourModel::Gray, gray, "{name}");
        let opaque = !model.contains("alpha") && !model.contains("key");
        assert_eq!(format.alpha == Alpha::None, opaque, "{name}");
        let associated = model.ends_with("associated");
        assert_eq!(format.alpha == Alpha::Associated, associated, "{name}");
        assert_eq!(format.depth == BitDepth::Sixteen, self.fields[4] == "16", "{name}");
        let orientation = Orientation::from_tag(self.fields[5].parse().unwrap()).unwrap();
        assert_eq!(picture.orientation, orientation, "{name}");
        let stated = picture.resolution.map(|resolution| [resolution.across, resolution.along]);
        for (side, index) in [(0, 6), (1, 7)] {
            match (stated, self.number(index)) {
                (None, None) => {}
                (Some(stated), Some(expected)) => {
                    let difference = stated[side].to_dots_per_inch() - expected;
                    assert!(difference.abs() < PRINTED_RESOLUTION, "{name}: {stated:?}");
                }
                other => panic!("{name}: {other:?}"),
            }
        }
    }

    fn check_means(&self, whole: &Whole) {
        let format = whole.picture.format;
        let parts = format.samples_per_pixel();
        let full = if format.depth == BitDepth::Sixteen { 65_535.0 } else { 255.0 };
        let mean = |part: usize| {
            let samples = whole.samples.iter().skip(part).step_by(parts);
            let sum: u64 = samples.map(|sample| u64::from(*sample)).sum();
            sum as f64 / full / format.pixels() as f64
        };
        let tolerance = if whole.picture.file_format.to_string() == "JPEG" {
            DECODERS_ROUND
        } else {
            PRINTED_DIGITS
        };
        let colours = format.model.channels();
        let stored = (0..3).map(|part| (part.min(colours - 1), 8 + part));
        let opacity =
            (format.alpha != Alpha::None && self.number(11).is_some()).then_some((colours, 11));
        for (part, index) in stored.chain(opacity) {
            let difference = mean(part) - self.number(index).unwrap();
            assert!(difference.abs() < tolerance, "{}: {difference}", self.name());
        }
    }
}

#[test]
fn every_sound_file_is_read_as_the_table_says() {
    let table = Expected::table();
    assert!(table.len() > 60);
    for expected in table {
        let name = expected.name();
        let whole = read(&file("edge", name)).unwrap_or_else(|error| panic!("{name}: {error}"));
        expected.check_statements(&whole.picture);
        expected.check_means(&whole);
        assert!(whole.damage.is_empty(), "{name}");
    }
}

#[test]
fn every_cmyk_file_is_read_as_its_table_says() {
    let table = String::from_utf8(file("edge", "expected-cmyk.csv")).unwrap();
    for line in table.lines().skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        let whole = read(&file("edge", fields[0])).unwrap();
        let format = whole.picture.format;
        assert_eq!(format.model, ColourModel::Cmyk, "{line}");
        let full = if format.depth == BitDepth::Sixteen { 65_535.0 } else { 255.0 };
        for channel in 0..4 {
            let samples = whole.samples.iter().skip(channel).step_by(4);
            let sum: u64 = samples.map(|sample| u64::from(*sample)).sum();
            let mean = sum as f64 / full / format.pixels() as f64;
            let expected: f64 = fields[7 + channel].parse().unwrap();
            assert!((mean - expected).abs() < DECODERS_ROUND, "{line}: {mean}");
        }
    }
}

#[test]
fn no_sound_file_is_left_out() {
    let mut known: BTreeSet<_> =
        Expected::table().iter().map(|row| row.name().to_owned()).collect();
    let inks = String::from_utf8(file("edge", "expected-cmyk.csv")).unwrap();
    known.extend(inks.lines().filter_map(|line| line.split(',').next()).map(str::to_owned));
    let unknown: Vec<_> = pictures("edge").difference(&known).cloned().collect();
    assert!(unknown.is_empty(), "{unknown:?}");
}

/// Files that hold the same pixels, the first as the others.
const SAME_PIXELS: [&[&str]; 4] = [
    &[
        "crop-8.png",
        "crop-interlaced.png",
        "crop-300-dpi.png",
        "crop-wide-profile.png",
        "crop-strips.tif",
        "crop-one-strip.tif",
        "crop-tiles.tif",
        "crop-planar.tif",
        "crop-planar-tiles.tif",
        "crop-big-endian.tif",
        "crop-bigtiff.tif",
        "crop-lzw.tif",
        "crop-lzw-predictor.tif",
        "crop-tiles-lzw-predictor.tif",
        "crop-deflate.tif",
        "crop-deflate-predictor.tif",
        "crop-packbits.tif",
        "crop-two-pages.tif",
        "png-named.jpg",
    ],
    &[
        "crop-16.png",
        "crop-16-interlaced.png",
        "crop-16.tif",
        "crop-16-big-endian-lzw-predictor.tif",
    ],
    &["crop-gray-8.png", "crop-gray.tif", "crop-white-is-zero.tif"],
    &["crop-420.jpg", "crop-progressive.jpg", "crop-restart.jpg", "crop-separate-scans.jpg"],
];

#[test]
fn every_stored_form_of_a_picture_gives_the_same_pixels() {
    for group in SAME_PIXELS {
        let first = read(&file("edge", group[0])).unwrap().samples;
        for name in group {
            let samples = read(&file("edge", name)).unwrap().samples;
            assert!(samples == first, "{name} differs from {}", group[0]);
        }
    }
}

#[test]
fn every_photograph_is_read_without_damage() {
    for name in pictures("photographs") {
        let whole = read(&file("photographs", &name)).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert!(whole.damage.is_empty(), "{name}");
        let widest = whole.samples.iter().max().unwrap() - whole.samples.iter().min().unwrap();
        assert!(widest > 100, "{name} is a picture");
    }
}

/// Bad files and the error of each.
const REFUSED: [(&str, &str); 39] = [
    ("text-named.jpg", "NotAnImage"),
    ("text-named.png", "NotAnImage"),
    ("empty.jpg", "Empty"),
    ("empty.png", "Empty"),
    ("empty.tif", "Empty"),
    ("signature-only.png", "Truncated"),
    ("header-only.tif", "Truncated"),
    ("cut-10-420.jpg", "Truncated"),
    ("cut-50-420.jpg", "Truncated"),
    ("cut-99-420.jpg", "Truncated"),
    ("cut-10-progressive.jpg", "Truncated"),
    ("cut-50-progressive.jpg", "Truncated"),
    ("cut-99-progressive.jpg", "Truncated"),
    ("cut-10-8.png", "Truncated"),
    ("cut-50-8.png", "Truncated"),
    ("cut-99-8.png", "Truncated"),
    ("cut-10-strips.tif", "Truncated"),
    ("cut-50-strips.tif", "Truncated"),
    ("cut-99-strips.tif", "Truncated"),
    ("cut-10-deflate.tif", "Truncated"),
    ("cut-50-deflate.tif", "Truncated"),
    ("cut-99-deflate.tif", "Truncated"),
    ("early-end.jpg", "Corrupt"),
    ("missing-rows.png", "Corrupt"),
    ("short-strip.tif", "Corrupt"),
    ("huge-claim.png", "Implausible"),
    ("largest-claim.png", "TooLarge"),
    ("huge-claim.jpg", "Implausible"),
    ("huge-claim.tif", "Implausible"),
    ("zero-width.png", "Corrupt"),
    ("zero-height.png", "Corrupt"),
    ("zero-width.jpg", "Corrupt"),
    ("zero-width.tif", "Corrupt"),
    ("bad-crc-data.png", "Corrupt"),
    ("damaged-data.png", "Corrupt"),
    ("damaged-scan.jpg", "Corrupt"),
    ("strip-past-end.tif", "Truncated"),
    ("directory-past-end.tif", "Truncated"),
    ("profile-bomb.png", "TooLarge"),
];

#[test]
fn every_bad_file_gets_its_named_error() {
    for (name, expected) in REFUSED {
        match read(&file("bad", name)) {
            Ok(_) => panic!("{name} is read as if nothing were wrong"),
            Err(error) => assert_eq!(variant(&error), expected, "{name}: {error}"),
        }
    }
}

/// Files whose profile is bad in itself: it is handed on, because profiles are not interpreted
/// here.
const BAD_IN_THE_PROFILE: &str = "profile-";

#[test]
fn no_bad_file_is_left_out() {
    let refused: BTreeSet<_> = REFUSED.iter().map(|(name, _)| (*name).to_owned()).collect();
    for name in pictures("bad").difference(&refused) {
        assert!(name.starts_with(BAD_IN_THE_PROFILE), "{name}");
        let picture = open_bytes(&file("bad", name)).unwrap();
        let told = matches!(picture.notices[..], [Notice::ProfileUnusable { .. }]);
        assert_eq!(picture.profile.is_some(), !told, "{name}");
        assert_eq!(told, name == "profile-segment-missing.jpg", "{name}");
    }
}
