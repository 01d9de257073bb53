//! The preview: limit, linear light, edges and orientation.

use colour::{ColourModel, Orientation};
use inkfathom_census::{CensusTaker, MOST_PREVIEW_PIXELS};

use crate::pictures::{Picture, Scene, taker};

/// 1.055 × 0.5^(1/2.4) − 0.055 of 65,535 (IEC 61966-2-1); 188 of 255.
const HALF_THE_LIGHT: u16 = 48192;

#[test]
fn a_constant_picture_has_a_constant_preview() {
    for sample in [0, 1, 2, 77, 254, 255] {
        let picture = Picture::bytes(2003, 1009, ColourModel::Rgb, vec![sample; 2003 * 1009 * 3]);
        let preview = picture.taken().preview;
        assert_eq!((preview.width, preview.height), (1002, 505));
        assert!(preview.samples.iter().all(|seen| *seen == u16::from(sample) * 257));
    }
}

#[test]
fn a_checkerboard_averages_in_linear_light() {
    let is_light = |place: usize| place % 2 == 1;
    let fields = || (0..1000).flat_map(|y| (0..2002).map(move |x| is_light(x + y)));
    let all_are = |picture: Picture, sample: u16| {
        picture.taken().preview.samples.iter().all(|seen| *seen == sample)
    };
    let words = fields().map(|light| u16::from(light) * u16::MAX).collect();
    let words = Picture::words(2002, 1000, ColourModel::Gray, words);
    assert!(all_are(words, HALF_THE_LIGHT));
    // As coarse as the picture itself.
    let bytes = fields().map(|light| u8::from(light) * u8::MAX).collect();
    let bytes = Picture::bytes(2002, 1000, ColourModel::Gray, bytes);
    assert!(all_are(bytes, 188 * 257));
}

#[test]
fn a_preview_keeps_to_its_limit_and_to_the_sides_of_the_picture() {
    let preview = Scene::Sky.bytes(2600, 900).taken().preview;
    assert_eq!((preview.width, preview.height), (1300, 450));
    assert!(u64::from(preview.width * preview.height) <= MOST_PREVIEW_PIXELS);
    assert_eq!(preview.samples.len(), 1300 * 450 * 3);
}

#[test]
fn a_small_picture_is_its_own_preview() {
    let picture = Scene::Petals.words(50, 40);
    let samples = picture.taken().preview.samples;
    assert_eq!(colour::Samples::Sixteen(samples), picture.samples);
}

#[test]
fn cut_squares_at_the_edges_are_averaged_over_their_own_pixels() {
    // The last column and row stand alone in their squares: white on an otherwise black page.
    let (width, height) = (2001, 1001);
    let edge = |x: u32, y: u32| x == width - 1 || y == height - 1;
    let samples = (0..height).flat_map(|y| (0..width).map(move |x| u8::from(edge(x, y)) * 255));
    let picture = Picture::bytes(width, height, ColourModel::Gray, samples.collect());
    let preview = picture.taken().preview;
    let across = preview.width as usize;
    for (row, samples) in preview.samples.chunks_exact(across).enumerate() {
        let last_row = row == preview.height as usize - 1;
        for (column, sample) in samples.iter().enumerate() {
            let white = last_row || column == across - 1;
            assert_eq!(*sample == u16::MAX, white, "{column}, {row}");
        }
    }
}

#[test]
fn the_preview_is_turned_upright() {
    // Pictures of the eight orientations of the Exif tag, written out by hand.
    let stored = Picture::bytes(3, 2, ColourModel::Gray, b"abcdef".to_vec());
    let seen = [
        "abc/def", "cba/fed", "fed/cba", "def/abc", "ad/be/cf", "da/eb/fc", "fc/eb/da", "cf/be/ad",
    ];
    for (tag, expected) in (1..).zip(seen) {
        let mut taker = taker(1);
        taker.orientation = Orientation::from_tag(tag).unwrap();
        let preview = taker.take(&mut stored.bands(&[1])).unwrap().preview;
        let letter = |sample: &u16| char::from((sample / 257) as u8);
        let rows = preview.samples.chunks_exact(preview.width as usize);
        let rows: Vec<String> = rows.map(|row| row.iter().map(letter).collect()).collect();
        assert_eq!(rows.join("/"), expected, "orientation {tag}");
        assert_eq!(rows.len(), preview.height as usize);
    }
}

#[test]
fn wide_squares_are_looked_at_in_nine_places() {
    // Light where it is looked at: every second row and column of squares of five or six, cut ones too.
    for (side, width, most_pixels) in [(5, 52, 121), (6, 62, 121)] {
        let is_seen = |place: u32| [0, 2, 4].contains(&(place % side));
        let samples = (0..width)
            .flat_map(|y| (0..width).map(move |x| u8::from(is_seen(x) && is_seen(y)) * 255));
        let picture = Picture::bytes(width, width, ColourModel::Gray, samples.collect());
        let taker = CensusTaker { preview_pixels: most_pixels, ..taker(1) };
        let preview = taker.take(&mut picture.bands(&[7])).unwrap().preview;
        assert_eq!((preview.width, preview.height), (11, 11));
        assert!(preview.samples.iter().all(|sample| *sample == u16::MAX), "{side}");
    }
}
