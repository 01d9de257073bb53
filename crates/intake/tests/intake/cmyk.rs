//! Device values of CMYK JPEG files, whichever end of the scale is full ink.

use inkfathom_intake::{Notice, Opening, Polarity};
use jpeg_encoder::{ColorType, Encoder};

use crate::support::{Whole, read, read_as};

/// A page of paper with a bar of ink a sixteenth as wide, with or without the writers' marker,
/// stored with full ink as 255 or as 0.
fn page(marked: bool, inverted: bool) -> Vec<u8> {
    let ink = [200, 40, 0, 90];
    let pixel = |index: usize| if index % 128 < 8 { ink } else { [0; 4] };
    let stored = |sample: u8| if inverted { !sample } else { sample };
    let samples: Vec<u8> = (0..128 * 64).flat_map(pixel).map(stored).collect();
    let mut file = Vec::new();
    Encoder::new(&mut file, 95).encode(&samples, 128, 64, ColorType::Cmyk).unwrap();
    // The encoder stores what it is given the other way round.
    let file = with_marker_removed(file);
    if marked { with_marker(file) } else { file }
}

/// Without the APP14 segment.
fn with_marker_removed(mut file: Vec<u8>) -> Vec<u8> {
    let Some(place) = file.windows(2).position(|two| two == [0xff, 0xee]) else {
        return file;
    };
    let length = usize::from(u16::from_be_bytes([file[place + 2], file[place + 3]]));
    file.drain(place..place + 2 + length);
    file
}

/// With an APP14 segment that states no transform.
fn with_marker(mut file: Vec<u8>) -> Vec<u8> {
    file.splice(2..2, *b"\xff\xee\0\x0eAdobe\0\x64\0\0\0\0\0");
    file
}

fn mean(whole: &Whole) -> f64 {
    whole.samples.iter().map(|sample| f64::from(*sample)).sum::<f64>() / whole.samples.len() as f64
}

fn polarity(whole: &Whole) -> (bool, bool) {
    let told = whole.picture.notices.iter().find_map(|notice| match notice {
        Notice::CmykPolarity { inverted, agreed, .. } => Some((*inverted, *agreed)),
        _ => None,
    });
    told.expect("the polarity is said")
}

/// Ink on one pixel of sixteen, a quarter of (200 + 40 + 0 + 90) each.
const MEAN: f64 = 330.0 / 4.0 / 16.0;
/// What JPEG rounds away at the quality of the test.
const JPEG_ROUNDS: f64 = 0.5;

#[test]
fn every_way_of_storing_ink_comes_out_as_ink() {
    for (marked, inverted) in [(true, true), (false, false), (true, false), (false, true)] {
        let whole = read(&page(marked, inverted)).unwrap();
        assert!((mean(&whole) - MEAN).abs() < JPEG_ROUNDS, "{marked} {inverted}: {}", mean(&whole));
        assert_eq!(polarity(&whole).1, marked == polarity(&whole).0);
    }
}

#[test]
fn the_caller_has_the_last_word() {
    let detected = polarity(&read(&page(true, true)).unwrap()).0;
    for asked in [Polarity::AsStored, Polarity::Inverted] {
        let whole =
            read_as(&page(true, true), &Opening { polarity: asked, ..Opening::default() }).unwrap();
        let right = (asked == Polarity::Inverted) == detected;
        let expected = if right { MEAN } else { 255.0 - MEAN };
        assert!((mean(&whole) - expected).abs() < JPEG_ROUNDS, "{asked:?}: {}", mean(&whole));
    }
}

#[test]
fn what_is_said_is_a_doubt_only_where_marker_and_pixels_disagree() {
    let pages = [page(true, true), page(true, false)].map(|file| read(&file).unwrap());
    let agreeing = pages.iter().filter(|whole| polarity(whole).1).count();
    assert_eq!(agreeing, 1);
    for whole in &pages {
        let notice = whole.picture.notices.last().unwrap();
        assert_eq!(notice.is_minor(), polarity(whole).1);
        let words = if notice.is_minor() {
            "because its marker is of writers that invert CMYK"
        } else {
            "because otherwise paper would have all inks in full"
        };
        assert!(notice.to_string().contains(words), "{notice}");
    }
}
