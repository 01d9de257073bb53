//! The census is what a plain count gives, in whatever way it was taken.

use std::collections::BTreeMap;

use colour::{Alpha, BitDepth, ColourModel};
use inkfathom_census::{Backdrop, CensusError, CensusTaker, ColourCensus, SourceColour, Taken};
use proptest::prelude::*;

use crate::pictures::{Picture, Scene, taker};

/// Counts pixel by pixel with the plainest means: cell → (pixels, sums).
fn plain_count(picture: &Picture) -> BTreeMap<Vec<u64>, (u64, Vec<u64>)> {
    let full = match picture.format.depth {
        BitDepth::Eight => 255_u64,
        BitDepth::Sixteen => 65535,
    };
    // Shadows have cells of 1/256 and come first, other colours have cells of 1/128.
    let cells_an_axis = |samples: &[u64]| match (picture.format.model, picture.format.depth) {
        (ColourModel::Gray, BitDepth::Eight) => [0, 256],
        (ColourModel::Gray, BitDepth::Sixteen) => [0, 4096],
        _ if samples.iter().all(|sample| 4 * sample < full + 1) => [0, 256],
        _ => [1, 128],
    };
    let mut cells = BTreeMap::new();
    for colour in picture.colours() {
        let samples: Vec<u64> = colour.iter().map(|c| (c * full as f64).round() as u64).collect();
        let [order, cells_here] = cells_an_axis(&samples);
        let mut key = vec![order];
        key.extend(samples.iter().map(|sample| sample * cells_here / (full + 1)));
        if samples.iter().all(|sample| *sample == full) {
            key = vec![u64::MAX];
        }
        let (pixels, sums) = cells.entry(key).or_insert((0, vec![0; samples.len()]));
        *pixels += 1;
        for (sum, sample) in sums.iter_mut().zip(samples) {
            *sum += sample;
        }
    }
    cells
}

fn assert_plain(picture: &Picture) {
    let full = match picture.format.depth {
        BitDepth::Eight => 255_u64,
        BitDepth::Sixteen => 65535,
    };
    let census = picture.taken().census;
    let of_cell = |(pixels, sums): (u64, Vec<u64>)| {
        (sums.iter().map(|sum| *sum as f64 / (pixels * full) as f64).collect(), pixels)
    };
    let mut plain: Vec<(Vec<f64>, u64)> = plain_count(picture).into_values().map(of_cell).collect();
    let entries = census.finest_entries();
    let mut counted: Vec<_> =
        entries.map(|entry| (entry.colour.samples().to_vec(), entry.pixels)).collect();
    // A census has an order of its own.
    let by_colour = |one: &(Vec<f64>, u64), other: &(Vec<f64>, u64)| one.0.partial_cmp(&other.0);
    for colours in [&mut plain, &mut counted] {
        colours.sort_by(|one, other| by_colour(one, other).unwrap());
    }
    assert_eq!(counted, plain);
}

#[test]
fn the_census_is_what_a_plain_count_gives() {
    for scene in Scene::ALL {
        assert_plain(&scene.bytes(160, 90));
        assert_plain(&scene.words(160, 90));
        assert_plain(&scene.gray(160, 90));
    }
}

proptest! {
    #[test]
    fn any_8_bit_picture_is_counted_plainly(samples in prop::collection::vec(any::<u8>(), 30)) {
        assert_plain(&Picture::bytes(2, 5, ColourModel::Rgb, samples.clone()));
        assert_plain(&Picture::bytes(6, 5, ColourModel::Gray, samples));
    }
}

#[test]
fn one_two_and_seven_threads_give_the_same_bits() {
    let picture = Scene::Petals.bytes(611, 397);
    let one = taker(1).take(&mut picture.bands(&[13])).unwrap();
    for threads in [2, 7] {
        let more = taker(threads).take(&mut picture.bands(&[13])).unwrap();
        assert!(one == more, "{threads} threads");
    }
}

#[test]
fn the_order_and_the_height_of_bands_do_not_matter() {
    let picture = Scene::NightHarbour.words(2100, 1000);
    let whole = taker(1).take(&mut picture.bands(&[1000])).unwrap();
    let mut backwards = picture.bands(&[7, 1, 50]);
    backwards.bands.make_contiguous().reverse();
    let mut shuffled = picture.bands(&[3, 40]);
    shuffled.bands.make_contiguous().sort_by_key(|band| band.first_row.wrapping_mul(2_654_435_761));
    for (mut bands, threads) in [(backwards, 1), (shuffled, 3)] {
        assert!(whole == taker(threads).take(&mut bands).unwrap());
    }
}

#[test]
fn tiles_merge_to_the_whole_bit_for_bit() {
    let picture = Scene::Petals.bytes(300, 200);
    let whole = picture.taken().census;
    let mut merged = ColourCensus::empty(ColourModel::Rgb, BitDepth::Eight);
    for (first_row, rows) in [(150, 50), (0, 1), (1, 149)] {
        merged.merge(&picture.tile(first_row, rows).taken().census).unwrap();
    }
    assert_eq!(merged, whole);
}

#[test]
fn unlike_censuses_do_not_merge() {
    let mut bytes = Scene::Sky.bytes(8, 8).taken().census;
    let before = bytes.clone();
    let message = bytes.merge(&Scene::Sky.words(8, 8).taken().census).unwrap_err().to_string();
    assert!(message.contains("RGB at 8 bits") && message.contains("RGB at 16 bits"), "{message}");
    assert_eq!(bytes, before);
}

#[test]
fn ten_gigapixels_of_one_colour_keep_their_exact_mean() {
    const TEN_GIGAPIXELS: u64 = 10_000_000_000;
    let picture = Picture::words(1, 1, ColourModel::Rgb, vec![65535, 65534, 1]);
    let mut census = picture.taken().census;
    let colour = census.entries().next().unwrap().colour;
    while census.pixels() < TEN_GIGAPIXELS {
        census.merge(&census.clone()).unwrap();
    }
    assert_eq!(census.entries().next().unwrap().colour, colour);
    while census.pixels() < 1 << 48 {
        census.merge(&census.clone()).unwrap();
    }
    let full = census.merge(&census.clone()).unwrap_err();
    assert!(matches!(full, CensusError::TooManyPixels { limit, .. } if limit == 1 << 48));
    assert_eq!(census.entries().next().unwrap().colour, colour);
}

#[test]
fn a_white_page_is_one_white_cell() {
    for picture in [
        Picture::bytes(40, 30, ColourModel::Rgb, vec![255; 3600]),
        Picture::words(40, 30, ColourModel::Rgb, vec![65535; 3600]),
    ] {
        let census = picture.taken().census;
        let entries: Vec<_> = census.entries().collect();
        assert_eq!(entries.len(), 1);
        assert_eq!(entries[0].colour, SourceColour::Rgb([1.0; 3]));
        assert_eq!(entries[0].pixels, 1200);
    }
}

#[test]
fn white_is_not_averaged_with_near_white() {
    let picture = Picture::bytes(2, 1, ColourModel::Rgb, vec![255, 255, 255, 254, 255, 255]);
    let colours: Vec<_> = picture.taken().census.entries().map(|entry| entry.colour).collect();
    let near_white = SourceColour::Rgb([254.0 / 255.0, 1.0, 1.0]);
    assert_eq!(colours, [near_white, SourceColour::Rgb([1.0; 3])]);
}

#[test]
fn pixels_without_opacity_are_unprinted_whatever_their_colour() {
    for alpha in [Alpha::Straight, Alpha::Associated] {
        let mut picture = Picture::bytes(3, 1, ColourModel::Gray, vec![9, 0, 200, 0, 77, 255]);
        picture.format.alpha = alpha;
        let census = picture.taken().census;
        assert_eq!((census.unprinted(), census.pixels()), (2, 3));
        let colours: Vec<_> = census.entries().map(|entry| entry.colour).collect();
        assert_eq!(colours, [SourceColour::Gray(77.0 / 255.0)]);
    }
}

#[test]
fn partial_opacity_lets_the_backdrop_through() {
    let mut picture = Picture::bytes(1, 1, ColourModel::Rgb, vec![0, 100, 255, 51]);
    picture.format.alpha = Alpha::Straight;
    let mut taker = taker(1);
    let backdrops = [
        (Backdrop::MediaWhite, [204.0, 224.0, 255.0]),
        (Backdrop::Colour(SourceColour::Rgb([0.8, 0.8, 0.4])), [163.0, 183.0, 133.0]),
    ];
    for (backdrop, expected) in backdrops {
        taker.backdrop = backdrop;
        let taken = taker.take(&mut picture.bands(&[1])).unwrap();
        let colour = taken.census.entries().next().unwrap().colour;
        assert_eq!(colour, SourceColour::Rgb(expected.map(|sample| sample / 255.0)));
    }
}

#[test]
fn a_backdrop_that_does_not_fit_is_refused() {
    let picture = Scene::Sky.bytes(4, 4);
    let mut taker = taker(1);
    for (backdrop, words) in [
        (SourceColour::Gray(0.5), "the backdrop is gray and the picture RGB"),
        (SourceColour::Rgb([0.5, 1.5, 0.5]), "1.5, outside 0 to 1"),
        (SourceColour::Rgb([0.5, f64::NAN, 0.5]), "NaN, outside 0 to 1"),
    ] {
        taker.backdrop = Backdrop::Colour(backdrop);
        let message = taker.take(&mut picture.bands(&[4])).unwrap_err().to_string();
        assert!(message.contains(words), "{message}");
    }
}

#[test]
fn a_census_may_be_joined_while_it_is_taken() {
    for picture in [
        Scene::SpecimenSheet.bytes(1700, 1300),
        Scene::SpecimenSheet.words(1700, 1300),
        Scene::NightHarbour.gray(1700, 1300),
        // Too few pixels to be joined.
        Scene::Petals.bytes(60, 40),
    ] {
        for threads in [1, 3] {
            let joining = CensusTaker { joins: true, ..taker(threads) };
            let joined = joining.take(&mut picture.bands(&[16])).unwrap();
            let whole = picture.taken();
            assert_eq!(joined, Taken { census: whole.census.joined(), ..whole.clone() });
            assert!(joined.census.wide_entries().eq(whole.census.wide_entries()));
        }
    }
}
