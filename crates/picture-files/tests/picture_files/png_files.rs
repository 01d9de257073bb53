use std::io::Cursor;

use colour::BitDepth;
use image::ImageDecoder;
use inkfathom_picture_files::{PixelResolution, PngColour, PngPicture, Row};
use units::DotsPerInch;

const PICTURE: PngPicture<'static> = PngPicture {
    width: 3,
    height: 2,
    colour: PngColour::Rgb,
    depth: BitDepth::Eight,
    resolution: None,
    profile: None,
};

fn written(picture: PngPicture<'_>, rows: &[Row<'_>]) -> Vec<u8> {
    let mut file = Vec::new();
    picture.write(&mut file, |file| rows.iter().try_for_each(|row| file.write_row(*row))).unwrap();
    file
}

#[test]
fn rows_of_rgb_come_back_and_the_file_says_srgb() {
    let samples: Vec<u8> = (0..18).map(|sample| sample * 13).collect();
    let rows: Vec<Row<'_>> = samples.chunks(9).map(Row::Eight).collect();
    let file = written(PICTURE, &rows);
    let decoded = image::load_from_memory(&file).unwrap();
    assert_eq!(decoded.into_rgb8().into_raw(), samples);
    assert!(file.windows(4).any(|chunk| chunk == b"sRGB"));
}

#[test]
fn words_of_gray_come_back() {
    let samples = [0_u16, 1, 256, 40_000, 65_534, 65_535];
    let picture = PngPicture { colour: PngColour::Gray, depth: BitDepth::Sixteen, ..PICTURE };
    let rows: Vec<Row<'_>> = samples.chunks(3).map(Row::Sixteen).collect();
    let decoded = image::load_from_memory(&written(picture, &rows)).unwrap();
    assert_eq!(decoded.into_luma16().into_raw(), samples);
}

#[test]
fn a_given_profile_takes_the_place_of_srgb() {
    let profile = b"the bytes of a profile".to_vec();
    let picture = PngPicture { profile: Some(&profile), ..PICTURE };
    let file = written(picture, &[Row::Eight(&[7; 9]); 2]);
    let mut decoder = image::codecs::png::PngDecoder::new(Cursor::new(&file)).unwrap();
    assert_eq!(decoder.icc_profile().unwrap(), Some(profile));
    assert!(!file.windows(4).any(|chunk| chunk == b"sRGB"));
}

#[test]
fn the_resolution_is_stated_in_pixels_per_metre() {
    let resolution = PixelResolution {
        across: DotsPerInch::from_dots_per_inch(300.0).unwrap(),
        along: DotsPerInch::from_dots_per_inch(150.0).unwrap(),
    };
    let picture = PngPicture { resolution: Some(resolution), ..PICTURE };
    let file = written(picture, &[Row::Eight(&[7; 9]); 2]);
    let reader = png::Decoder::new(Cursor::new(file)).read_info().unwrap();
    let stated = reader.info().pixel_dims.unwrap();
    // 300 / 0.0254 = 11811.02, 150 / 0.0254 = 5905.51
    assert_eq!((stated.xppu, stated.yppu), (11_811, 5906));
}
