use std::io::{self, Cursor, Seek, SeekFrom, Write};

use colour::{BitDepth, Orientation};
use inkfathom_picture_files::{
    PictureFileError, PngColour, PngPicture, Row, TiffColour, TiffPicture,
};

const GRAY: TiffPicture<'static> = TiffPicture {
    width: 2,
    height: 2,
    colour: TiffColour::Gray,
    depth: BitDepth::Eight,
    orientation: Orientation::Upright,
    resolution: None,
    profile: None,
};

fn refusal(picture: &TiffPicture<'_>, rows: &[Row<'_>]) -> String {
    let written = || -> Result<_, PictureFileError> {
        let mut file = picture.start(Cursor::new(Vec::new()))?;
        rows.iter().try_for_each(|row| file.write_row(*row))?;
        file.finish().map(drop)
    };
    written().unwrap_err().to_string()
}

#[test]
fn a_picture_without_pixels_is_refused_with_the_range() {
    let message = refusal(&TiffPicture { width: 0, ..GRAY }, &[]);
    assert!(message.starts_with("a picture of 0 x 2 pixels"), "{message}");
    let png = PngPicture {
        width: 0,
        height: 2,
        colour: PngColour::Gray,
        depth: BitDepth::Eight,
        resolution: None,
        profile: None,
    };
    let message = png.write(Vec::new(), |_| Ok(())).unwrap_err().to_string();
    assert!(message.contains("1 to 2147483647"), "{message}");
}

#[test]
fn rows_of_another_length_depth_or_number_are_refused() {
    let short = refusal(&GRAY, &[Row::Eight(&[1])]);
    assert_eq!(short, "a row has 1 samples, not 2 as the picture says");
    let deep = refusal(&GRAY, &[Row::Sixteen(&[1, 2])]);
    assert_eq!(deep, "a row has samples of another depth than the picture's Eight bits");
    let few = refusal(&GRAY, &[Row::Eight(&[1, 2])]);
    assert_eq!(few, "1 rows, not 2 as the picture says");
    let many = refusal(&GRAY, &[Row::Eight(&[1, 2]); 3]);
    assert_eq!(many, "3 rows, not 2 as the picture says");
}

#[test]
fn inks_that_the_format_cannot_hold_are_refused() {
    let too_many = ["ink"; 16];
    let message = refusal(&TiffPicture { colour: TiffColour::Inks(&too_many), ..GRAY }, &[]);
    assert_eq!(message, "16 ink channels, outside 1 to 15; write fewer channels");
    let unnamed = TiffPicture { colour: TiffColour::Inks(&["red", ""]), ..GRAY };
    assert!(refusal(&unnamed, &[]).contains("1 to 100 characters"));
}

#[test]
fn cielab_in_bytes_is_refused() {
    let message = refusal(&TiffPicture { colour: TiffColour::CieLab, ..GRAY }, &[]);
    assert_eq!(message, "these colours are not written with Eight bits; use the other depth");
}

/// A place that has no room.
struct Full;

impl Write for Full {
    fn write(&mut self, _: &[u8]) -> io::Result<usize> {
        Err(io::Error::from(io::ErrorKind::StorageFull))
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Seek for Full {
    fn seek(&mut self, _: SeekFrom) -> io::Result<u64> {
        Ok(0)
    }
}

#[test]
fn a_full_place_is_told() {
    let Err(error) = GRAY.start(Full) else { panic!("written to nowhere") };
    assert!(error.to_string().ends_with("check the place that the file goes to"), "{error}");
}
