//! Each row exactly once, and clear words when it is not so.

use colour::{Alpha, BitDepth, ColourModel, Damage, Samples};
use inkfathom_census::{Backdrop, CensusError, CensusTaker, SourceColour, TakingError};

use crate::pictures::{Bands, DecoderGaveUp, Scene, format, taker};

fn refused(bands: &Bands) -> TakingError<DecoderGaveUp> {
    let inline = taker(1).take(&mut bands.clone()).unwrap_err();
    let beside = taker(3).take(&mut bands.clone()).unwrap_err();
    assert_eq!(inline, beside);
    inline
}

fn bands() -> Bands {
    Scene::Petals.bytes(10, 20).bands(&[4])
}

#[test]
fn a_missing_band_is_refused_with_its_place() {
    let mut bands = bands();
    bands.bands.remove(2);
    let message = refused(&bands).to_string();
    assert!(message.contains("4 of 20 rows were not delivered"), "{message}");
    assert!(message.contains("the first is row 8"), "{message}");
}

#[test]
fn rows_declared_as_damaged_may_be_missing() {
    let mut bands = bands();
    bands.bands.remove(2);
    bands.damage.push(Damage { missing_rows: 4, detail: "torn strip".to_owned() });
    let taken = taker(2).take(&mut bands).unwrap();
    assert_eq!((taken.missing_rows, taken.census.pixels()), (4, 160));
    let row = |row: usize| &taken.preview.samples[row * 30..(row + 1) * 30];
    assert!(row(8).iter().all(|sample| *sample == u16::MAX), "damage shows the backdrop");
    assert!(row(7).iter().any(|sample| *sample < u16::MAX));
}

#[test]
fn the_backdrop_of_missing_rows_is_as_coarse_as_the_picture() {
    let mut bands = bands();
    bands.bands.remove(2);
    bands.damage.push(Damage { missing_rows: 4, detail: "torn strip".to_owned() });
    let backdrop = Backdrop::Colour(SourceColour::Rgb([0.503; 3]));
    let taken = CensusTaker { backdrop, ..taker(1) }.take(&mut bands).unwrap();
    // 0.503 of 255 is nearest to 128.
    assert!(taken.preview.samples[240..360].iter().all(|sample| *sample == 128 * 257));
}

#[test]
fn damage_that_does_not_account_for_the_missing_rows_is_refused() {
    let mut bands = bands();
    bands.damage.push(Damage { missing_rows: 1, detail: "torn strip".to_owned() });
    let message = refused(&bands).to_string();
    assert!(message.contains("declared 1 as damaged"), "{message}");
}

#[test]
fn a_doubled_row_is_refused() {
    let mut bands = bands();
    bands.bands[3].first_row -= 1;
    let row_twice = CensusError::RowTwice { row: 11 };
    assert_eq!(refused(&bands), TakingError::Census(row_twice));
}

#[test]
fn a_band_of_the_wrong_size_or_depth_is_refused() {
    let mut short = bands();
    short.bands[1].samples = Samples::Eight(vec![0; 119]);
    let message = refused(&short).to_string();
    assert!(message.contains("row 4 has 119 samples"), "{message}");
    let mut deep = bands();
    deep.bands[1].samples = Samples::Sixteen(vec![0; 120]);
    assert!(refused(&deep).to_string().contains("has 0 samples of the picture's depth"));
}

#[test]
fn a_failing_source_stops_the_census() {
    let mut bands = bands();
    bands.fails = true;
    assert_eq!(refused(&bands), TakingError::Source(DecoderGaveUp));
}

#[test]
fn pictures_without_pixels_or_with_too_many_are_refused() {
    for (width, height, words) in [
        (0, 5, "0 × 5 pixels has nothing to count"),
        (u32::MAX, u32::MAX, "more than the 281474976710656"),
    ] {
        let mut bands = bands();
        bands.bands.clear();
        bands.format = format(width, height, ColourModel::Rgb, BitDepth::Eight, Alpha::None);
        let message = refused(&bands).to_string();
        assert!(message.contains(words), "{message}");
    }
}
