use std::io::Cursor;

use colour::{Alpha, BitDepth, ColourModel, Orientation};
use inkfathom_intake::{FileFormat, IntakeError, Notice, ResolutionSource};

use crate::support::{invented, open_bytes, raster, read, variant};
use crate::tiff_writer::{Form, Sheet, TiffFile, byte, long, rational, short};

const WIDTH: usize = 21;
const HEIGHT: usize = 10;

fn sheet(samples: &[u16], per_pixel: usize, photometric: u64) -> Sheet<'_> {
    Sheet { width: WIDTH, height: HEIGHT, per_pixel, photometric, samples }
}

fn levels(bits: usize) -> u32 {
    1 << bits
}

fn rgb(form: Form) -> (Vec<u16>, TiffFile) {
    let samples = invented(WIDTH * HEIGHT * 3, levels(form.bits));
    let file = sheet(&samples, 3, 2).store(form);
    (samples, file)
}

/// Every combination that the reader claims.
fn forms() -> Vec<Form> {
    let mut forms = Vec::new();
    for bits in [8, 16] {
        for tile in [None, Some((16, 16)), Some((32, 4)), Some((7, 3))] {
            for planar in [false, true] {
                for (compression, differences) in [
                    (1, false),
                    (5, false),
                    (5, true),
                    (8, false),
                    (8, true),
                    (32_946, true),
                    (32_773, false),
                ] {
                    for (big_endian, wide) in
                        [(false, false), (true, false), (false, true), (true, true)]
                    {
                        forms.push(Form {
                            big_endian,
                            wide,
                            bits,
                            tile,
                            rows_per_strip: 3,
                            planar,
                            compression,
                            differences,
                        });
                    }
                }
            }
        }
    }
    forms
}

#[test]
fn every_stored_form_of_a_picture_gives_the_same_pixels() {
    for form in forms() {
        let (samples, file) = rgb(form);
        let whole = read(&file.bytes()).unwrap_or_else(|error| panic!("{form:?}: {error}"));
        assert_eq!(whole.samples, samples, "{form:?}");
        assert!(whole.picture.notices.is_empty());
        let depth = if form.bits == 8 { BitDepth::Eight } else { BitDepth::Sixteen };
        assert_eq!(whole.picture.format, raster((21, 10), ColourModel::Rgb, depth, Alpha::None));
    }
}

/// The other decoder reads no planes at once, and finds no end in some tiles of LZW.
fn read_by_the_other(form: &Form) -> bool {
    !form.planar && (form.tile.is_none() || form.compression != 5)
}

/// The files written here are read alike by an independent decoder, so that writer and reader
/// can't be wrong together.
#[test]
fn an_independent_decoder_reads_the_same_pixels() {
    for form in forms().into_iter().filter(read_by_the_other) {
        let (samples, file) = rgb(form);
        let mut decoder = tiff::decoder::Decoder::new(Cursor::new(file.bytes())).unwrap();
        let read: Vec<u16> = match decoder.read_image().unwrap() {
            tiff::decoder::DecodingResult::U8(bytes) => bytes.into_iter().map(u16::from).collect(),
            tiff::decoder::DecodingResult::U16(words) => words,
            other => panic!("{other:?}"),
        };
        assert_eq!(read, samples, "{form:?}");
    }
}

#[test]
fn a_file_of_an_independent_encoder_is_read() {
    use tiff::encoder::{Compression, TiffEncoder, colortype::RGB16};
    let samples = invented(WIDTH * HEIGHT * 3, 1 << 16);
    for compression in [Compression::Uncompressed, Compression::Lzw, Compression::Packbits] {
        let mut file = Cursor::new(Vec::new());
        TiffEncoder::new(&mut file)
            .unwrap()
            .with_compression(compression)
            .write_image::<RGB16>(WIDTH as u32, HEIGHT as u32, &samples)
            .unwrap();
        assert_eq!(read(file.get_ref()).unwrap().samples, samples);
    }
}

#[test]
fn gray_of_few_bits_is_widened_to_full_scale() {
    for bits in [1, 2, 4] {
        let samples = invented(WIDTH * HEIGHT, levels(bits));
        for (photometric, tile) in [(1, None), (1, Some((16, 16))), (0, None)] {
            let form = Form { bits, tile, ..Form::default() };
            let whole = read(&sheet(&samples, 1, photometric).store(form).bytes()).unwrap();
            let full = u16::try_from(levels(bits) - 1).unwrap();
            let widened = samples.iter().map(|sample| {
                let level = sample * (255 / full);
                if photometric == 0 { 255 - level } else { level }
            });
            assert!(whole.samples.iter().copied().eq(widened), "{bits} bits");
        }
    }
}

#[test]
fn zero_is_white_where_the_file_says_so_and_opacity_stays() {
    let samples = invented(WIDTH * HEIGHT * 2, 1 << 16);
    let mut file = sheet(&samples, 2, 0).store(Form { bits: 16, ..Form::default() });
    file.entries.push(short(338, &[2]));
    let whole = read(&file.bytes()).unwrap();
    assert_eq!(whole.picture.format.alpha, Alpha::Straight);
    let expected = samples.chunks(2).flat_map(|pixel| [65_535 - pixel[0], pixel[1]]);
    assert!(whole.samples.iter().copied().eq(expected));
}

#[test]
fn a_palette_is_expanded_whatever_its_bits() {
    for bits in [1, 2, 4, 8] {
        let samples = invented(WIDTH * HEIGHT, levels(bits));
        let size = 1 << bits;
        let map = invented(3 * size, 256);
        for factor in [1, 256, 257] {
            let mut file = sheet(&samples, 1, 3).store(Form { bits, ..Form::default() });
            let stored: Vec<_> = map.iter().map(|level| u64::from(*level) * factor).collect();
            file.entries.push(short(320, &stored));
            let whole = read(&file.bytes()).unwrap();
            let colour = |index: u16| [0, 1, 2].map(|plane| map[plane * size + usize::from(index)]);
            assert_eq!(whole.picture.format.model, ColourModel::Rgb);
            assert!(whole.samples.iter().copied().eq(samples.iter().copied().flat_map(colour)));
        }
    }
}

#[test]
fn opacity_is_found_among_extra_samples_and_the_others_are_dropped_with_a_notice() {
    let samples = invented(WIDTH * HEIGHT * 5, 256);
    let cases: [([u64; 2], Alpha, &[usize]); 3] = [
        ([1, 0], Alpha::Associated, &[0, 1, 2, 3]),
        ([0, 2], Alpha::Straight, &[0, 1, 2, 4]),
        ([0, 0], Alpha::None, &[0, 1, 2]),
    ];
    for (kinds, alpha, picked) in cases {
        for (planar, differences) in [(false, false), (true, false), (false, true)] {
            let form = Form { planar, differences, compression: 5, ..Form::default() };
            let mut file = sheet(&samples, 5, 2).store(form);
            file.entries.push(short(338, &kinds));
            let whole = read(&file.bytes()).unwrap();
            assert_eq!(whole.picture.format.alpha, alpha);
            let expected =
                samples.chunks(5).flat_map(|pixel| picked.iter().map(|pick| pixel[*pick]));
            assert!(whole.samples.iter().copied().eq(expected), "{kinds:?} {form:?}");
            let dropped = 5 - picked.len();
            assert_eq!(whole.picture.notices, [Notice::ExtraSamplesDropped { samples: dropped }]);
        }
    }
}

#[test]
fn resolution_orientation_and_profile_are_taken_from_the_tags() {
    let (_, mut file) = rgb(Form::default());
    file.entries.extend([
        short(274, &[6]),
        rational(282, 11_811, 100),
        rational(283, 5_905, 50),
        short(296, &[3]),
        byte(34_675, b"not interpreted here"),
    ]);
    let picture = open_bytes(&file.bytes()).unwrap();
    assert_eq!(picture.file_format, FileFormat::Tiff);
    assert_eq!(picture.orientation, Orientation::QuarterTurnClockwise);
    let resolution = picture.resolution.unwrap();
    assert!((resolution.across.to_dots_per_inch() - 118.11 * 2.54).abs() < 1e-9);
    assert!((resolution.along.to_dots_per_inch() - 118.10 * 2.54).abs() < 1e-9);
    assert_eq!(resolution.stated_by, ResolutionSource::TiffTags);
    assert_eq!(picture.profile.as_deref(), Some(&b"not interpreted here"[..]));
}

#[test]
fn a_resolution_without_unit_or_of_nothing_is_none() {
    for (numerator, denominator, unit) in [(300, 1, 1), (0, 0, 2), (0, 1, 2), (300, 0, 2)] {
        let (_, mut file) = rgb(Form::default());
        file.entries.extend([
            rational(282, numerator, denominator),
            rational(283, numerator, denominator),
            short(296, &[unit]),
        ]);
        let picture = open_bytes(&file.bytes()).unwrap();
        assert!(picture.resolution.is_none());
        assert_eq!(picture.notices.len(), usize::from(unit != 1));
    }
}

/// Entry that replaces one of an RGB file, and words of the refusal.
#[test]
fn what_is_not_read_is_refused_by_name() {
    for (entry, words) in [
        (short(262, &[5]), "CMYK"),
        (short(262, &[10]), "ITU L*a*b*"),
        (short(262, &[32_803]), "camera raw"),
        (short(262, &[77]), "photometric interpretation 77"),
        (short(259, &[6]), "old-style JPEG"),
        (short(259, &[4]), "fax chunks that are not black and white"),
        (short(258, &[12, 12, 12]), "12 bits"),
        (short(258, &[5, 6, 5]), "[5, 6, 5] bits"),
        (short(258, &[4, 4, 4]), "fewer than 8 bits"),
        (short(339, &[3, 3, 3]), "floating-point"),
        (short(339, &[2]), "signed"),
        (short(266, &[2]), "reversed bits"),
        (short(317, &[3]), "floating-point predictor"),
        (long(254, &[1]), "preview"),
    ] {
        let (_, mut file) = rgb(Form::default());
        file.replace(entry);
        let error = open_bytes(&file.bytes()).err().unwrap();
        assert_eq!(variant(&error), "Unsupported", "{error}");
        assert!(error.to_string().contains(words), "{error}");
    }
}

#[test]
fn contradictions_are_damage() {
    for entry in [
        long(256, &[0]),
        short(277, &[0]),
        short(277, &[2]),
        short(284, &[3]),
        short(317, &[9]),
        short(258, &[8, 8]),
        long(278, &[0]),
        long(278, &[1]),
        short(320, &[1, 2, 3]),
    ] {
        let (_, mut file) = rgb(Form::default());
        file.replace(entry.clone());
        if entry.is(320) {
            file.replace(short(262, &[3]));
        }
        let error = read(&file.bytes()).err().unwrap();
        assert_eq!(variant(&error), "Corrupt", "{error}");
    }
}

#[test]
fn a_chunk_with_too_few_pixels_is_damage_and_the_row_is_told() {
    for compression in [1, 5, 8, 32_773] {
        let (_, mut file) = rgb(Form { compression, ..Form::default() });
        let half = file.chunks[1].len() / 2;
        file.chunks[1].truncate(half);
        let error = read(&file.bytes()).err().unwrap();
        assert_eq!(variant(&error), "Corrupt", "{error}");
        assert!(error.to_string().contains("chunk 1"), "{error}");
    }
}

#[test]
fn a_wrong_check_sum_of_deflate_is_damage() {
    let (_, mut file) = rgb(Form { compression: 8, ..Form::default() });
    *file.chunks[2].last_mut().unwrap() ^= 1;
    assert_eq!(variant(&read(&file.bytes()).err().unwrap()), "Corrupt");
}

#[test]
fn a_strip_that_reaches_past_the_end_is_told_with_the_rows_before_it() {
    let (_, file) = rgb(Form::default());
    let bytes = file.bytes();
    let mut patched = file.clone();
    patched.chunk_tags = (40_000, 279);
    let places: Vec<_> = (0..4)
        .map(|strip| if strip == 3 { bytes.len() as u64 - 5 } else { 8 + strip * 189 })
        .collect();
    patched.entries.push(long(273, &places));
    let error = read(&patched.bytes()).err().unwrap();
    assert!(
        matches!(error, IntakeError::Truncated { rows_read: 9 | 10, rows_total: Some(10), .. }),
        "{error}"
    );
}

#[test]
fn a_second_page_is_told() {
    let (samples, file) = rgb(Form::default());
    let mut bytes = file.bytes();
    // The last four bytes are the place of the next directory; the first one's will do.
    let end = bytes.len() - 4;
    bytes[end..].copy_from_slice(&8_u32.to_le_bytes());
    let whole = read(&bytes).unwrap();
    assert_eq!(whole.picture.notices, [Notice::FurtherPictures { page: 1, pages: None }]);
    assert_eq!(whole.samples, samples);
}

#[test]
fn lzw_data_of_the_old_kind_are_damage_and_not_nonsense() {
    let (_, mut file) = rgb(Form { compression: 5, ..Form::default() });
    for chunk in &mut file.chunks {
        for byte in chunk {
            *byte = byte.reverse_bits();
        }
    }
    let error = read(&file.bytes()).err().unwrap();
    assert_eq!(variant(&error), "Corrupt");
    assert!(error.to_string().contains("clear code"), "{error}");
}
