use inkfathom_intake::{IntakeError, Limits};

use crate::support::{invented, read_within, variant};
use crate::tiff_writer::{Form, Sheet};

fn refusal(file: &[u8], limits: Limits) -> IntakeError {
    read_within(file, &limits).err().expect("a refusal")
}

fn progressive(width: u16, height: u16) -> Vec<u8> {
    let mut file = Vec::new();
    let mut encoder = jpeg_encoder::Encoder::new(&mut file, 90);
    encoder.set_progressive(true);
    let samples = vec![99; usize::from(width) * usize::from(height) * 3];
    encoder.encode(&samples, width, height, jpeg_encoder::ColorType::Rgb).unwrap();
    file
}

fn tiled() -> Vec<u8> {
    let samples = invented(64 * 64, 256);
    let sheet = Sheet { width: 64, height: 64, per_pixel: 1, photometric: 1, samples: &samples };
    let form = Form { tile: Some((16, 16)), ..Form::default() };
    sheet.store(form).bytes()
}

#[test]
fn pixels_and_sides_are_limited_in_every_format() {
    for file in [progressive(64, 64), tiled()] {
        for limits in [
            Limits { max_pixels: 64 * 64 - 1, ..Limits::default() },
            Limits { max_side: 63, ..Limits::default() },
        ] {
            let error = refusal(&file, limits);
            assert_eq!(variant(&error), "TooLarge", "{error}");
        }
    }
}

#[test]
fn what_must_be_held_at_once_is_limited_and_exactly_the_limit_is_allowed() {
    // 8 × 8 blocks of three components, or a row of tiles and one row of one tile.
    for (file, held) in [(progressive(64, 64), 3 * 64 * 128), (tiled(), 64 * 16 + 16)] {
        let limits = |max_held_bytes| Limits { max_held_bytes, ..Limits::default() };
        assert!(read_within(&file, &limits(held)).is_ok());
        let error = refusal(&file, limits(held - 1));
        assert!(matches!(error, IntakeError::TooLarge { value, .. } if value == held), "{error}");
    }
}

#[test]
fn a_profile_is_limited_in_every_format() {
    let limits = Limits { max_profile_bytes: 99, ..Limits::default() };
    let mut jpeg = Vec::new();
    let mut encoder = jpeg_encoder::Encoder::new(&mut jpeg, 90);
    encoder.add_icc_profile(&[1; 100]).unwrap();
    encoder.encode(&[0; 64], 8, 8, jpeg_encoder::ColorType::Luma).unwrap();
    let samples = invented(16, 256);
    let sheet = Sheet { width: 4, height: 4, per_pixel: 1, photometric: 1, samples: &samples };
    let mut tiff = sheet.store(Form::default());
    tiff.entries.push(crate::tiff_writer::byte(34_675, &[1; 100]));
    for file in [jpeg, tiff.bytes()] {
        let error = refusal(&file, limits);
        assert!(error.to_string().contains("profile is 100 bytes"), "{error}");
    }
}

#[test]
fn a_progressive_picture_of_very_many_scans_is_refused() {
    let file = progressive(16, 16);
    let scan = file.windows(2).rposition(|two| two == [0xff, 0xda]).expect("a scan");
    let end = file.len() - 2;
    let again = file[scan..end].repeat(300);
    let error = refusal(&[&file[..end], &again, &file[end..]].concat(), Limits::default());
    assert!(error.to_string().contains("over the limit of 200 scans"), "{error}");
}
