//! The stored form: exact round trip, clear refusals, no panic on any bytes.

use colour::{ColourModel, Orientation};
use inkfathom_census::{Backdrop, CensusError, Origin, Resolution, SourceColour, StoredCensus};
use proptest::prelude::*;
use units::DotsPerInch;

use crate::pictures::{Noise, Picture, Scene};

fn origin(picture: &Picture) -> Origin {
    let dots = |value| DotsPerInch::from_dots_per_inch(value).unwrap();
    Origin {
        content: *blake3::hash(b"an invented file").as_bytes(),
        file_format: "TIFF".to_owned(),
        width: picture.format.width,
        height: picture.format.height,
        orientation: Orientation::QuarterTurnClockwise,
        backdrop: Backdrop::MediaWhite,
        resolution: Some(Resolution { across: dots(300.0), along: dots(11811.0 * 0.0254) }),
        program_version: "0.1.0".to_owned(),
    }
}

fn stored(picture: &Picture) -> StoredCensus {
    let taken = picture.taken();
    StoredCensus {
        origin: origin(picture),
        profile: Some(b"not looked at here".to_vec()),
        census: taken.census,
        preview: taken.preview,
    }
}

fn inks(width: u32, height: u32) -> Picture {
    let mut noise = Noise(3);
    let samples = (0..width * height * 4).map(|_| (noise.next() >> 40) as u8).collect();
    Picture::bytes(width, height, ColourModel::Cmyk, samples)
}

fn refused(bytes: &[u8]) -> CensusError {
    StoredCensus::from_bytes(bytes).unwrap_err()
}

/// Puts a valid checksum under changed bytes.
fn sealed(mut content: Vec<u8>) -> Vec<u8> {
    let checksum = blake3::hash(&content);
    content.extend(checksum.as_bytes());
    content
}

fn unsealed(bytes: &[u8]) -> Vec<u8> {
    bytes[..bytes.len() - 32].to_vec()
}

#[test]
fn a_stored_census_comes_back_bit_for_bit() {
    for picture in [
        Scene::Petals.bytes(60, 40),
        Scene::SpecimenSheet.words(60, 40),
        Scene::NightHarbour.gray(60, 40),
        inks(60, 40),
        // So many colours that cells are coarse.
        inks(900, 400),
    ] {
        let stored = stored(&picture);
        let bytes = stored.to_bytes().unwrap();
        assert_eq!(StoredCensus::from_bytes(&bytes).unwrap(), stored);
    }
}

/// A picture whose cells share entries, and the same joined.
fn joined() -> (StoredCensus, StoredCensus) {
    let whole = stored(&Scene::SpecimenSheet.bytes(1700, 1300));
    let joined = StoredCensus { census: whole.census.joined(), ..whole.clone() };
    (whole, joined)
}

#[test]
fn a_joined_census_tells_the_same_in_less_room() {
    let (whole, joined) = joined();
    let bytes = joined.to_bytes().unwrap();
    assert!(bytes.len() < whole.to_bytes().unwrap().len());
    let recalled = StoredCensus::from_bytes(&bytes).unwrap();
    assert_eq!(recalled, joined);
    let (whole, recalled) = (whole.census, recalled.census);
    assert_eq!(recalled.pixels(), whole.pixels());
    assert!(recalled.entries().eq(whole.entries()));
    assert!(recalled.wide_entries().eq(whole.wide_entries()));
    assert!(whole.wide_entries().len() < whole.entries().len());
    assert_eq!(recalled.joined(), recalled);
    let merged = whole.clone().merge(&recalled);
    assert!(matches!(merged, Err(CensusError::Unlike { .. })), "{merged:?}");
    // Few pixels stay as they are: their figures can be held against them.
    let small = stored(&Scene::Petals.bytes(60, 40)).census;
    assert_eq!(small.joined(), small);
}

#[test]
fn joined_cells_that_no_picture_gives_are_refused() {
    let (_, joined) = joined();
    let bytes = unsealed(&joined.to_bytes().unwrap());
    let header = u32::from_le_bytes(bytes[12..16].try_into().unwrap()) as usize;
    let keys = 16 + header + joined.profile.unwrap().len();
    let count = joined.census.entries().len();
    let (pixels, sums) = (keys + 4 * count, keys + 8 * count);
    let damage = |place: usize, with: &[u8]| {
        let mut bytes = bytes.clone();
        bytes[place..place + with.len()].copy_from_slice(with);
        refused(&sealed(bytes)).to_string()
    };
    assert!(damage(keys, &[0xff; 4]).contains("out of order"));
    assert!(damage(pixels, &[0; 4]).contains("holds no colour"));
    assert!(damage(sums, &[0xff; 4]).contains("holds no colour"));
    assert!(damage(8, &3_u32.to_le_bytes()).contains("the other form"));
    // The highest bit of the first key, which is little-endian.
    assert!(damage(keys + 3, &[bytes[keys + 3] & 0x7f]).contains("begins no wide entry"));
}

#[test]
fn sums_beyond_32_bits_are_kept_too() {
    // 66,000 times 65,534 is above 2³².
    let picture = Picture::words(300, 220, ColourModel::Gray, vec![65_534; 66_000]);
    let large = stored(&picture);
    let bytes = large.to_bytes().unwrap();
    assert_eq!(StoredCensus::from_bytes(&bytes).unwrap(), large);
    let small = stored(&Scene::Petals.bytes(60, 40)).to_bytes().unwrap();
    let widths = [(&bytes, "\"number_bytes\":8"), (&small, "\"number_bytes\":4")];
    for (bytes, width) in widths {
        assert!(String::from_utf8_lossy(bytes).contains(width));
    }
}

#[test]
fn numbers_that_are_wider_than_they_need_be_are_refused() {
    let small = StoredCensus { profile: None, ..stored(&Scene::Petals.bytes(60, 40)) };
    let bytes = unsealed(&small.to_bytes().unwrap());
    let length = u32::from_le_bytes(bytes[12..16].try_into().unwrap()) as usize;
    let (header, sections) = bytes[16..].split_at(length);
    let header = std::str::from_utf8(header).unwrap();
    let (keys, rest) = sections.split_at(4 * small.census.entries().len());
    let (numbers, preview) = rest.split_at(4 * keys.len());
    let with_header = |header: String, sections: Vec<u8>| {
        let length = u32::try_from(header.len()).unwrap().to_le_bytes();
        sealed([&bytes[..12], &length, header.as_bytes(), &sections].concat())
    };
    let widened: Vec<u8> =
        numbers.chunks(4).flat_map(|number| [number, &[0; 4]].concat()).collect();
    let forged = with_header(
        header.replace("\"number_bytes\":4", "\"number_bytes\":8"),
        [keys, &widened, preview].concat(),
    );
    assert!(refused(&forged).to_string().contains("wider than they need be"));
    let words: Vec<u8> = preview.iter().flat_map(|sample| [*sample; 2]).collect();
    let forged = with_header(
        header.replace("\"preview_bits\":8", "\"preview_bits\":16"),
        [keys, numbers, &words].concat(),
    );
    assert!(refused(&forged).to_string().contains("8 bits in 16"));
}

#[test]
fn an_empty_profile_is_not_no_profile() {
    for profile in [None, Some(Vec::new())] {
        let mut stored = stored(&Scene::Sky.bytes(4, 4));
        stored.profile = profile;
        let bytes = stored.to_bytes().unwrap();
        assert_eq!(StoredCensus::from_bytes(&bytes).unwrap().profile, stored.profile);
    }
}

#[test]
fn foreign_newer_and_damaged_bytes_are_told_apart() {
    let bytes = stored(&Scene::Sky.bytes(8, 8)).to_bytes().unwrap();
    for foreign in [&b""[..], b"INKF", b"\x89PNG\r\n\x1a\n"] {
        assert!(matches!(refused(foreign), CensusError::Foreign { .. }));
    }
    let mut newer = bytes.clone();
    newer[8] = 5;
    assert_eq!(refused(&newer), CensusError::Newer { found: 5, newest: 4 });
    let mut changed = bytes.clone();
    changed[100] ^= 1;
    assert!(refused(&changed).to_string().contains("the checksum does not match"));
    for length in 12..bytes.len() {
        assert!(matches!(refused(&bytes[..length]), CensusError::Damaged { .. }));
    }
}

#[test]
fn lengths_that_the_bytes_do_not_have_are_refused_before_anything_is_allocated() {
    let bytes = stored(&Scene::Sky.bytes(8, 8)).to_bytes().unwrap();
    let length = u32::from_le_bytes(bytes[12..16].try_into().unwrap());
    let (header, sections) = bytes[16..].split_at(length as usize);
    let header = std::str::from_utf8(header).unwrap();
    for field in ["profile_bytes", "cells", "preview_width"] {
        let start = header.find(field).unwrap() + field.len() + 2;
        let end = start + header[start..].find([',', '}']).unwrap();
        let changed = format!("{}4294967295{}", &header[..start], &header[end..]);
        let mut content = bytes[..12].to_vec();
        content.extend(u32::try_from(changed.len()).unwrap().to_le_bytes());
        content.extend(changed.bytes());
        content.extend(unsealed(sections));
        let message = refused(&sealed(content)).to_string();
        assert!(message.contains("bytes are announced where"), "{field}: {message}");
    }
}

#[test]
fn parts_that_do_not_belong_together_are_not_stored() {
    let good = stored(&Scene::Sky.bytes(8, 8));
    let mut short_preview = good.clone();
    short_preview.preview.samples.pop();
    let mut gray_preview = good.clone();
    gray_preview.preview.model = ColourModel::Gray;
    let mut other_size = good.clone();
    other_size.origin.width = 7;
    let mut other_backdrop = good.clone();
    other_backdrop.origin.backdrop = Backdrop::Colour(SourceColour::Gray(0.5));
    let mut long_text = good.clone();
    long_text.origin.file_format = "x".repeat(70_000);
    for (stored, words) in [
        (short_preview, "with 191 samples"),
        (gray_preview, "a gray preview"),
        (other_size, "64 pixels are not rows of a picture of 7 × 8"),
        (other_backdrop, "the backdrop is gray"),
        (long_text, "its header takes"),
    ] {
        let message = stored.to_bytes().unwrap_err().to_string();
        assert!(message.contains(words), "{message}");
    }
}

proptest! {
    #[test]
    fn any_census_comes_back(
        samples in prop::collection::vec(any::<u16>(), 36),
        across in 1.0..100_000.0_f64,
        backdrop in prop::array::uniform3(0.0..=1.0_f64),
        tag in 1_u16..=8,
        text in "\\PC{0,20}",
    ) {
        let picture = Picture::words(3, 4, ColourModel::Rgb, samples);
        let mut stored = stored(&picture);
        stored.origin.resolution.as_mut().unwrap().across =
            DotsPerInch::from_dots_per_inch(across).unwrap();
        stored.origin.backdrop = Backdrop::Colour(SourceColour::Rgb(backdrop));
        stored.origin.orientation = Orientation::from_tag(tag).unwrap();
        stored.origin.program_version = text;
        let bytes = stored.to_bytes().unwrap();
        prop_assert_eq!(StoredCensus::from_bytes(&bytes).unwrap(), stored);
    }

    #[test]
    fn arbitrary_bytes_are_refused_without_a_panic(
        bytes in prop::collection::vec(any::<u8>(), 0..300),
    ) {
        let mut content = b"INKFCENS\x03\0\0\0".to_vec();
        content.extend(&bytes);
        prop_assert!(StoredCensus::from_bytes(&bytes).is_err());
        prop_assert!(StoredCensus::from_bytes(&sealed(content)).is_err());
    }

    /// A forged census may be read only if it is one that could have been written.
    #[test]
    fn forged_bytes_with_a_valid_checksum_are_refused_or_written_back_the_same(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..4),
    ) {
        let mut content = unsealed(&stored(&Scene::Petals.bytes(6, 5)).to_bytes().unwrap());
        for (place, value) in changes {
            let place = place.index(content.len());
            content[place] = value;
        }
        if let Ok(read) = StoredCensus::from_bytes(&sealed(content)) {
            let again = read.to_bytes().unwrap();
            prop_assert_eq!(StoredCensus::from_bytes(&again).unwrap(), read);
        }
    }
}
