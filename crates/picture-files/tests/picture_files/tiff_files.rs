use std::io::{Cursor, Read};

use colour::{BitDepth, Lab, Orientation};
use flate2::read::ZlibDecoder;
use inkfathom_picture_files::{
    MOST_INKS, PixelResolution, Row, TiffColour, TiffPicture, lab_samples,
};
use proptest::prelude::*;
use tiff::decoder::{Decoder, DecodingResult, Limits};
use tiff::tags::Tag;
use units::DotsPerInch;

fn picture<'a>(width: u32, height: u32, colour: TiffColour<'a>) -> TiffPicture<'a> {
    let depth = BitDepth::Eight;
    let orientation = Orientation::Upright;
    TiffPicture { width, height, colour, depth, orientation, resolution: None, profile: None }
}

fn written<'a>(picture: &TiffPicture<'_>, rows: impl Iterator<Item = Row<'a>>) -> Vec<u8> {
    let mut file = picture.start(Cursor::new(Vec::new())).unwrap();
    rows.for_each(|row| file.write_row(row).unwrap());
    file.finish().unwrap().into_inner()
}

fn decoder(file: Vec<u8>) -> Decoder<Cursor<Vec<u8>>> {
    Decoder::new(Cursor::new(file)).unwrap().with_limits(Limits::unlimited())
}

/// The strips of a file as an independent decoder reads them.
fn bytes_of(file: Vec<u8>) -> Vec<u8> {
    let mut decoder = decoder(file);
    let strips = decoder.strip_count().unwrap();
    (0..strips)
        .flat_map(|strip| match decoder.read_chunk(strip).unwrap() {
            DecodingResult::U8(samples) => samples,
            other => panic!("{other:?} where bytes were written"),
        })
        .collect()
}

fn tag(file: &[u8], tag: Tag) -> Option<Vec<u32>> {
    let mut decoder = decoder(file.to_vec());
    decoder.find_tag(tag).unwrap().map(|value| value.into_u32_vec().unwrap())
}

/// Every strip of a file by its tags alone: the decoder knows few kinds of pixels.
fn inflated(file: &[u8]) -> Vec<u8> {
    let offsets = tag(file, Tag::StripOffsets).unwrap();
    let sizes = tag(file, Tag::StripByteCounts).unwrap();
    let mut samples = Vec::new();
    for (offset, size) in offsets.into_iter().zip(sizes) {
        let strip = &file[offset as usize..(offset + size) as usize];
        ZlibDecoder::new(strip).read_to_end(&mut samples).unwrap();
    }
    samples
}

#[test]
fn gray_and_rgb_come_back() {
    for (colour, samples) in [(TiffColour::Gray, 1), (TiffColour::Rgb, 3)] {
        let all: Vec<u8> = (0..=u8::MAX).cycle().take(40 * samples * 30).collect();
        let file = written(&picture(40, 30, colour), all.chunks(40 * samples).map(Row::Eight));
        assert_eq!(bytes_of(file), all);
    }
}

#[test]
fn cmyk_is_marked_as_such_and_left_without_names() {
    let colour = TiffColour::Inks(&["cyan", "magenta", "yellow", "black"]);
    let all: Vec<u8> = (0..16).collect();
    let file = written(&picture(2, 2, colour), all.chunks(8).map(Row::Eight));
    assert_eq!(tag(&file, Tag::Unknown(332)), Some(vec![1]));
    assert_eq!(tag(&file, Tag::Unknown(333)), None);
    assert_eq!(bytes_of(file), all);
}

#[test]
fn many_strips_are_put_together_in_their_order() {
    let all: Vec<u8> = (0..=250).cycle().take(1_200_000).collect();
    let file = written(&picture(1000, 1200, TiffColour::Gray), all.chunks(1000).map(Row::Eight));
    assert!(decoder(file.clone()).strip_count().unwrap() > 3);
    assert_eq!(bytes_of(file), all);
}

#[test]
fn inks_are_named_and_counted() {
    let colour = TiffColour::Inks(&["red", "light cyan"]);
    let file = written(&picture(1, 1, colour), [Row::Eight(&[1, 2])].into_iter());
    assert_eq!(tag(&file, Tag::Unknown(332)), Some(vec![2]));
    assert_eq!(tag(&file, Tag::Unknown(334)), Some(vec![2]));
    assert!(file.windows(15).any(|bytes| bytes == b"red\0light cyan\0"));
}

#[test]
fn resolution_and_profile_are_carried() {
    let dots = |dots| DotsPerInch::from_dots_per_inch(dots).unwrap();
    let resolution = Some(PixelResolution { across: dots(720.0), along: dots(360.5) });
    let profile = Some(&b"profile"[..]);
    let picture = TiffPicture { resolution, profile, ..picture(1, 1, TiffColour::Gray) };
    let file = written(&picture, [Row::Eight(&[1])].into_iter());
    assert_eq!(tag(&file, Tag::XResolution), Some(vec![720_000, 1000]));
    assert_eq!(tag(&file, Tag::YResolution), Some(vec![360_500, 1000]));
    assert!(file.windows(7).any(|bytes| bytes == b"profile"));
}

#[test]
fn rows_that_lie_on_their_side_are_marked() {
    let picture = |orientation| TiffPicture { orientation, ..picture(1, 1, TiffColour::Gray) };
    for (orientation, stated) in
        [(Orientation::Upright, None), (Orientation::QuarterTurnClockwise, Some(vec![6]))]
    {
        let file = written(&picture(orientation), [Row::Eight(&[1])].into_iter());
        assert_eq!(tag(&file, Tag::Orientation), stated);
    }
}

#[test]
fn cielab_words_come_back() {
    let depth = BitDepth::Sixteen;
    let picture = TiffPicture { depth, ..picture(1, 1, TiffColour::CieLab) };
    let samples = lab_samples(Lab { l: 50.0, a: -1.0, b: 2.5 });
    assert_eq!(samples, [32_768, 0xFF00, 640]);
    let file = written(&picture, [Row::Sixteen(&samples)].into_iter());
    assert_eq!(tag(&file, Tag::PhotometricInterpretation), Some(vec![8]));
    assert_eq!(inflated(&file), [0x00, 0x80, 0x00, 0xFF, 0x80, 0x02]);
}

proptest! {
    #[test]
    fn any_number_of_inks_comes_back(
        inks in 1..=MOST_INKS, width in 1..40_u32, height in 1..40_u32, seed: u8,
    ) {
        let names = vec!["ink"; inks];
        let length = width as usize * inks;
        let counting = (0..=u8::MAX).cycle().skip(usize::from(seed));
        let all: Vec<u8> = counting.take(length * height as usize).collect();
        let picture = picture(width, height, TiffColour::Inks(&names));
        let file = written(&picture, all.chunks(length).map(Row::Eight));
        let bits = vec![8; inks];
        prop_assert_eq!(tag(&file, Tag::BitsPerSample), Some(bits));
        prop_assert_eq!(inflated(&file), all);
    }
}
