//! One crop through five encoders: means and differences from the crop against those of Pillow.
//! `testimages/make_encoder_files.py` makes files and table.

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;

use crate::support::{Whole, read};

/// The wanted agreement with an independent reader: a thousandth of full scale.
const AGREEMENT: f64 = 1e-3;

fn root(name: &str) -> PathBuf {
    [env!("CARGO_MANIFEST_DIR"), "../..", name].iter().collect()
}

/// Rows of the table, each by its fields.
fn rows() -> Vec<Vec<String>> {
    let table = fs::read_to_string(root("tests/reference/encoder-means.csv")).unwrap();
    let mut lines = table.lines();
    let heads = "file,encoder,quality,profile,mean_1,mean_2,mean_3,mean_4,difference";
    assert_eq!(lines.next(), Some(heads));
    lines.map(|line| line.split(',').map(str::to_owned).collect()).collect()
}

fn decoded(row: &[String]) -> Whole {
    let folder = if row[1] == "source" { "testimages/edge" } else { "testimages/encoders" };
    read(&fs::read(root(folder).join(&row[0])).unwrap()).unwrap()
}

/// Mean of samples of 8 bits, 0 to 1.
fn mean(values: impl ExactSizeIterator<Item = u16>) -> f64 {
    let count = values.len() as f64;
    values.map(f64::from).sum::<f64>() / 255.0 / count
}

#[test]
fn every_encoders_file_has_the_means_of_an_independent_reader() {
    for row in rows() {
        let whole = decoded(&row);
        let channels = whole.picture.format.model.channels();
        let wanted: Vec<f64> = row[4..8].iter().filter_map(|mean| mean.parse().ok()).collect();
        assert_eq!(wanted.len(), channels, "{}", row[0]);
        for (channel, wanted) in wanted.into_iter().enumerate() {
            let own: Vec<u16> =
                whole.samples.iter().skip(channel).step_by(channels).copied().collect();
            let own = mean(own.into_iter());
            assert!((own - wanted).abs() < AGREEMENT, "{}: {own} for {wanted}", row[0]);
        }
        let named = row[3] == "wide" || row[1] == "source";
        assert!(named || whole.picture.profile.is_none(), "{}", row[0]);
        assert!(row[3] != "wide" || whole.picture.profile.is_some(), "{}", row[0]);
    }
}

/// An encoder that was read wrongly would differ from the crop by more than encoding does.
#[test]
fn every_encoders_file_differs_from_the_crop_by_what_an_independent_reader_finds() {
    let rows = rows();
    for row in &rows {
        let whole = decoded(row);
        let inks = whole.picture.format.model.channels() == 4;
        let source = rows.iter().find(|row| row[1] == "source" && row[7].is_empty() != inks);
        let source = decoded(source.unwrap()).samples;
        assert_eq!(source.len(), whole.samples.len(), "{}", row[0]);
        let pairs = source.iter().zip(&whole.samples);
        let own: Vec<u16> = pairs.map(|(one, other)| one.abs_diff(*other)).collect();
        let (own, wanted) = (mean(own.into_iter()), row[8].parse::<f64>().unwrap());
        assert!((own - wanted).abs() < AGREEMENT, "{}: {own} for {wanted}", row[0]);
    }
}

#[test]
fn five_encoders_at_four_qualities_are_in_the_table_and_every_file_is() {
    let rows = rows();
    let all = |place: usize| -> BTreeSet<&str> {
        let encoded = rows.iter().filter(|row| row[1] != "source");
        encoded.map(|row| row[place].as_str()).collect()
    };
    assert_eq!((all(1).len(), all(2).len()), (5, 4));
    let stored: BTreeSet<String> = fs::read_dir(root("testimages/encoders"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    assert_eq!(all(0), stored.iter().map(String::as_str).collect());
}
