//! The same picture through five encoders: the millilitres of each file are those of the pixels that
//! an independent decoder finds in it, so that encoders differ by what their pixels differ by.

use std::fs::{self, File};
use std::io::{BufReader, BufWriter};
use std::path::Path;

use inkfathom_tests::repository;
use jpeg_decoder::{Decoder, PixelFormat};
use serde_json::Value;
use tempfile::tempdir;

use crate::program::{inkfathom, list, number};

/// Decoders round the transform and the chroma differently: half a level here and there, more where
/// chroma is coarse (an ink differs by 0.6 % at a quality of 50).
const OF_TOTAL: f64 = 2e-3;
const OF_INK: f64 = 1e-2;
/// An ink below this share of the print's is lost in that rounding.
const CARRYING: f64 = 0.01;
/// What qualities of 75 and more may change of a print: at 92 half a percent, at 75 two.
const ENCODERS_APART: f64 = 0.02;

const SOURCE: &str = "testimages/edge/crop-8.png";

/// The RGB files of the encoders, in order.
fn encoded() -> Vec<String> {
    let stored = fs::read_dir(repository().join("testimages/encoders")).unwrap();
    let mut names: Vec<String> = stored
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.contains("-rgb-"))
        .map(|name| format!("testimages/encoders/{name}"))
        .collect();
    names.sort();
    names
}

/// Decodes a JPEG file with a decoder that shares no code with the program's, into a PNG file.
fn decoded(picture: &str, to: &Path) {
    let file = BufReader::new(File::open(repository().join(picture)).unwrap());
    let mut decoder = Decoder::new(file);
    let samples = decoder.decode().unwrap();
    let info = decoder.info().unwrap();
    assert_eq!(info.pixel_format, PixelFormat::RGB24);
    let mut described = png::Info::with_size(info.width.into(), info.height.into());
    described.color_type = png::ColorType::Rgb;
    described.icc_profile =
        if picture.contains("wide") { Some(wide_profile().into()) } else { None };
    let file = BufWriter::new(File::create(to).unwrap());
    let encoder = png::Encoder::with_info(file, described).unwrap();
    encoder.write_header().unwrap().write_image_data(&samples).unwrap();
}

/// The profile of every wide file. The decoder finds none where the pieces are numbered from 0, as one
/// encoder numbers them.
fn wide_profile() -> Vec<u8> {
    let picture = repository().join("testimages/encoders/pillow-rgb-85-wide.jpg");
    let mut decoder = Decoder::new(BufReader::new(File::open(picture).unwrap()));
    decoder.read_info().unwrap();
    decoder.icc_profile().unwrap()
}

fn inks(file: &Value) -> Vec<f64> {
    let channels = list(&file["estimates"][0]["channels"]).iter();
    channels.map(|ink| number(&ink["ml"])).collect()
}

#[test]
fn every_encoders_file_takes_the_ink_of_its_pixels() {
    let folder = tempdir().unwrap();
    let encoded = encoded();
    assert_eq!(encoded.len(), 20);
    let pixels: Vec<String> = encoded
        .iter()
        .map(|picture| {
            let stem = Path::new(picture).file_stem().unwrap();
            let path = folder.path().join(stem).with_extension("png");
            decoded(picture, &path);
            path.to_str().unwrap().to_owned()
        })
        .collect();
    let form = ["estimate", "--ink-set", "eleven", "--width", "60cm", "--format", "json", SOURCE];
    let files = form.into_iter().chain(encoded.iter().chain(&pixels).map(String::as_str));
    let document = inkfathom(files).ending_with(0).document();
    let (source, files) = document.files().split_first().unwrap();
    let source: f64 = inks(source).iter().sum();
    let (jpeg, png) = files.split_at(encoded.len());
    for ((name, jpeg), png) in encoded.iter().zip(jpeg).zip(png) {
        let (own, other) = (inks(jpeg), inks(png));
        let (all, total): (f64, f64) = (own.iter().sum(), other.iter().sum());
        assert!((all - total).abs() <= OF_TOTAL * total, "{name}: {all} ml for {total}");
        for (own, other) in own.iter().zip(&other).filter(|(_, other)| **other > CARRYING * total) {
            assert!((own - other).abs() <= OF_INK * other, "{name}: {own} ml for {other}");
        }
        // The wide profile means other colours.
        if !name.contains("-50") && !name.contains("wide") {
            assert!((all / source - 1.0).abs() <= ENCODERS_APART, "{name}: {all} for {source}");
        }
    }
}
