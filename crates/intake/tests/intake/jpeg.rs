use std::io::Cursor;

use colour::{Alpha, BitDepth, ColourModel, Orientation};
use inkfathom_intake::{FileFormat, Notice, ResolutionSource};
use jpeg_encoder::{ColorType, Encoder, PixelDensity, PixelDensityUnit, SamplingFactor};

use crate::support::{exif, open_bytes, raster, read, variant};

/// Two decoders round their inverse transforms and colour conversions apart.
const TRANSFORMS_ROUND: u16 = 4;
/// Between chroma samples, decoders interpolate apart; the pictures here are smooth.
const CHROMA_INTERPOLATES: u16 = 9;

/// A smooth picture with `parts` samples a pixel.
fn smooth(width: u16, height: u16, parts: usize) -> Vec<u8> {
    let level = |column: u16, row: u16, part: usize| {
        let (across, down) = (f64::from(column) / 9.0, f64::from(row) / 7.0);
        let phase = [0.0, 2.0, 4.0][part];
        let level = 128.0 + 60.0 * (across + phase).sin() + 60.0 * (down - phase).cos();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "8 to 248 by construction"
        )]
        let level = level as u8;
        level
    };
    (0..height)
        .flat_map(|row| (0..width).map(move |column| (column, row)))
        .flat_map(|(column, row)| (0..parts).map(move |part| level(column, row, part)))
        .collect()
}

fn encode(
    (width, height): (u16, u16),
    kind: ColorType,
    prepare: impl FnOnce(&mut Encoder<&mut Vec<u8>>),
) -> Vec<u8> {
    let parts = if kind == ColorType::Luma { 1 } else { 3 };
    let mut file = Vec::new();
    let mut encoder = Encoder::new(&mut file, 92);
    prepare(&mut encoder);
    encoder.encode(&smooth(width, height, parts), width, height, kind).unwrap();
    file
}

fn independently_decoded(file: &[u8]) -> Vec<u16> {
    let mut decoder = jpeg_decoder::Decoder::new(Cursor::new(file));
    decoder.decode().unwrap().into_iter().map(u16::from).collect()
}

fn largest_difference(one: &[u16], other: &[u16]) -> u16 {
    assert_eq!(one.len(), other.len());
    let differences = one.iter().zip(other).map(|(a, b)| a.abs_diff(*b));
    differences.max().unwrap()
}

#[test]
fn an_independent_decoder_reads_the_same_pixels() {
    for size in [(1, 1), (7, 13), (16, 16), (33, 65), (300, 20), (65, 300)] {
        for (sampling, tolerance) in [
            (SamplingFactor::R_4_4_4, TRANSFORMS_ROUND),
            (SamplingFactor::R_4_2_2, CHROMA_INTERPOLATES),
            (SamplingFactor::R_4_2_0, CHROMA_INTERPOLATES),
        ] {
            for (progressive, restart) in [(false, 0), (false, 3), (true, 0)] {
                let file = encode(size, ColorType::Rgb, |encoder| {
                    encoder.set_sampling_factor(sampling);
                    encoder.set_progressive(progressive);
                    encoder.set_restart_interval(restart);
                });
                let whole = read(&file).unwrap();
                let difference = largest_difference(&whole.samples, &independently_decoded(&file));
                assert!(difference <= tolerance, "{size:?} {sampling:?}: {difference}");
                assert!(whole.damage.is_empty());
            }
        }
    }
}

#[test]
fn gray_stays_gray() {
    let file = encode((50, 40), ColorType::Luma, |_| {});
    let whole = read(&file).unwrap();
    assert_eq!(
        whole.picture.format,
        raster((50, 40), ColourModel::Gray, BitDepth::Eight, Alpha::None)
    );
    let difference = largest_difference(&whole.samples, &independently_decoded(&file));
    assert!(difference <= TRANSFORMS_ROUND, "{difference}");
}

#[test]
fn density_exif_and_profile_are_taken_from_the_segments() {
    let profile: Vec<u8> = (0..=255).cycle().take(150_000).collect();
    let file = encode((16, 16), ColorType::Rgb, |encoder| {
        encoder.set_density(PixelDensity { density: (300, 150), unit: PixelDensityUnit::Inches });
        encoder.add_app_segment(1, [b"Exif\0\0", &exif(8, 300)[..]].concat()).unwrap();
        encoder.add_icc_profile(&profile).unwrap();
    });
    let picture = open_bytes(&file).unwrap();
    assert_eq!(picture.file_format, FileFormat::Jpeg);
    assert_eq!(picture.orientation, Orientation::QuarterTurnAnticlockwise);
    assert_eq!(picture.profile, Some(profile));
    let resolution = picture.resolution.unwrap();
    assert_eq!(resolution.to_string(), "300 dpi across, 150 dpi along (JFIF density)");
    assert!(matches!(picture.notices[..], [Notice::ResolutionsDiffer { .. }]));
}

#[test]
fn exif_resolution_counts_where_jfif_has_none() {
    let file = encode((16, 16), ColorType::Rgb, |encoder| {
        encoder.add_app_segment(1, [b"Exif\0\0", &exif(1, 240)[..]].concat()).unwrap();
    });
    let picture = open_bytes(&file).unwrap();
    assert_eq!(picture.resolution.unwrap().stated_by, ResolutionSource::Exif);
    assert!(picture.notices.is_empty());
}

#[test]
fn an_independent_reader_finds_the_same_in_exif_data() {
    let block = exif(6, 240);
    let (fields, _) = kamadak_exif(&block);
    assert_eq!(fields, (Some(6), Some(240.0)));
    let file = encode((8, 8), ColorType::Rgb, |encoder| {
        encoder.add_app_segment(1, [b"Exif\0\0", &block[..]].concat()).unwrap();
    });
    let picture = open_bytes(&file).unwrap();
    assert_eq!(picture.orientation, Orientation::from_tag(6).unwrap());
    assert_eq!(picture.resolution.unwrap().across.to_dots_per_inch(), 240.0);
}

fn kamadak_exif(block: &[u8]) -> ((Option<u32>, Option<f64>), bool) {
    let (fields, little) = exif::parse_exif(block).unwrap();
    let value = |tag| fields.iter().find(|field| field.tag == tag).map(|field| &field.value);
    let orientation = value(exif::Tag::Orientation).and_then(|value| value.get_uint(0));
    let resolution = value(exif::Tag::XResolution).and_then(|value| match value {
        exif::Value::Rational(fractions) => fractions.first().map(exif::Rational::to_f64),
        _ => None,
    });
    ((orientation, resolution), little)
}

#[test]
fn broken_exif_and_an_orientation_of_nine_are_told() {
    for (block, expected) in [
        (exif(9, 300), Notice::OrientationUnknown { tag: 9 }),
        (exif(6, 300)[..40].to_vec(), Notice::ExifUnreadable),
    ] {
        let file = encode((8, 8), ColorType::Rgb, |encoder| {
            encoder.add_app_segment(1, [b"Exif\0\0", &block[..]].concat()).unwrap();
        });
        let picture = open_bytes(&file).unwrap();
        assert_eq!(picture.orientation, Orientation::Upright);
        assert_eq!(picture.notices, [expected]);
    }
}

#[test]
fn bytes_after_the_end_mark_are_told_and_ignored() {
    let mut file = encode((20, 20), ColorType::Rgb, |_| {});
    let before = read(&file).unwrap();
    file.extend(b"a film of two seconds\xff\xd9");
    let whole = read(&file).unwrap();
    assert_eq!(whole.samples, before.samples);
    let format = FileFormat::Jpeg;
    assert_eq!(whole.picture.notices, [Notice::TrailingBytes { format, bytes: 23 }]);
    assert_ne!(whole.picture.content_hash, before.picture.content_hash);
}

#[test]
fn a_component_that_is_never_stored_is_damage() {
    let file = encode((32, 32), ColorType::Rgb, |encoder| encoder.set_progressive(true));
    let scans: Vec<_> =
        file.windows(2).enumerate().filter(|(_, two)| *two == [0xff, 0xda]).collect();
    let first_scan = scans[0].0;
    let length = usize::from(file[first_scan + 3]);
    // Only the scan of the first component's mean values is kept.
    assert_eq!((file[first_scan + 4], length), (1, 8), "one component a scan");
    let cut = [&file[..scans[1].0], &[0xff, 0xd9]].concat();
    let error = open_bytes(&cut).err().unwrap();
    assert_eq!(variant(&error), "Corrupt");
    assert!(error.to_string().contains("never stored"), "{error}");
}

#[test]
fn superfluous_bytes_between_segments_are_damage_that_does_not_stop() {
    let file = encode((20, 20), ColorType::Rgb, |_| {});
    // After the JFIF segment: two bytes of mark, two of length, sixteen in all.
    let padded = [&file[..20], &[0; 5], &file[20..]].concat();
    let whole = read(&padded).unwrap();
    assert_eq!(whole.samples, read(&file).unwrap().samples);
    assert_eq!(whole.damage.len(), 1);
    assert_eq!(whole.damage[0].missing_rows, 0);
    assert!(whole.damage[0].detail.contains("superfluous bytes"));
}

#[test]
fn an_early_end_mark_and_a_broken_code_are_damage() {
    let file = encode((200, 200), ColorType::Rgb, |_| {});
    let early = [&file[..file.len() / 2], &[0xff, 0xd9]].concat();
    let error = read(&early).err().unwrap();
    assert_eq!(variant(&error), "Corrupt");
    assert!(error.to_string().contains("of 200 rows"), "{error}");
}
