use colour::{Alpha, BitDepth, ColourModel, Orientation};
use inkfathom_intake::{FileFormat, Limits, Notice};
use png::{BitDepth as Bits, ColorType, Encoder};

use crate::support::{exif, invented, open_bytes, raster, read, read_within, variant};

/// A file of invented samples, and the samples as stored.
fn encode(
    (width, height): (u32, u32),
    colours: ColorType,
    bits: Bits,
    prepare: impl FnOnce(&mut Encoder<'_, &mut Vec<u8>>),
) -> (Vec<u8>, Vec<u16>) {
    let samples = invented((width * height) as usize * colours.samples(), 1 << bits as u32);
    let mut file = Vec::new();
    let mut encoder = Encoder::new(&mut file, width, height);
    encoder.set_color(colours);
    encoder.set_depth(bits);
    prepare(&mut encoder);
    let mut writer = encoder.write_header().unwrap();
    let rows = samples.chunks(width as usize * colours.samples());
    let packed: Vec<u8> = rows.flat_map(|row| pack(row, bits)).collect();
    writer.write_image_data(&packed).unwrap();
    writer.finish().unwrap();
    (file, samples)
}

fn pack(row: &[u16], bits: Bits) -> Vec<u8> {
    let byte = |sample: u16| u8::try_from(sample).unwrap();
    match bits {
        Bits::Sixteen => row.iter().flat_map(|word| word.to_be_bytes()).collect(),
        Bits::Eight => row.iter().copied().map(byte).collect(),
        few => {
            let few = few as usize;
            row.chunks(8 / few)
                .map(|samples| {
                    let shifted = samples
                        .iter()
                        .enumerate()
                        .map(|(index, sample)| byte(*sample) << (8 - few * (index + 1)));
                    shifted.fold(0, |packed, sample| packed | sample)
                })
                .collect()
        }
    }
}

/// Inserts a chunk before the first chunk of the given name.
fn with_chunk(file: &[u8], before: &[u8; 4], name: &[u8; 4], content: &[u8]) -> Vec<u8> {
    let at = file.windows(4).position(|four| four == before).unwrap() - 4;
    let named = [&name[..], content].concat();
    let length = u32::try_from(content.len()).unwrap().to_be_bytes();
    let sum = check_sum(&named).to_be_bytes();
    [&file[..at], &length, &named, &sum, &file[at..]].concat()
}

/// CRC-32 as PNG, annex D, gives it.
fn check_sum(bytes: &[u8]) -> u32 {
    let step = |sum: u32| sum >> 1 ^ (0xedb8_8320 & (sum & 1).wrapping_neg());
    !bytes.iter().fold(!0, |sum, byte| (0..8).fold(sum ^ u32::from(*byte), |sum, _| step(sum)))
}

#[test]
fn full_samples_come_as_they_were_stored() {
    for (colours, model, alpha) in [
        (ColorType::Grayscale, ColourModel::Gray, Alpha::None),
        (ColorType::GrayscaleAlpha, ColourModel::Gray, Alpha::Straight),
        (ColorType::Rgb, ColourModel::Rgb, Alpha::None),
        (ColorType::Rgba, ColourModel::Rgb, Alpha::Straight),
    ] {
        for (bits, depth) in [(Bits::Eight, BitDepth::Eight), (Bits::Sixteen, BitDepth::Sixteen)] {
            for size in [(1, 1), (1, 300), (300, 1), (37, 29)] {
                let (file, samples) = encode(size, colours, bits, |_| {});
                let whole = read(&file).unwrap();
                assert_eq!(whole.samples, samples);
                assert_eq!(whole.picture.format, raster(size, model, depth, alpha));
            }
        }
    }
}

#[test]
fn few_bits_are_widened_to_full_scale() {
    for (bits, step) in [(Bits::One, 255), (Bits::Two, 85), (Bits::Four, 17)] {
        let (file, samples) = encode((19, 5), ColorType::Grayscale, bits, |_| {});
        let widened = samples.iter().map(|sample| sample * step);
        assert!(read(&file).unwrap().samples.into_iter().eq(widened));
    }
}

#[test]
fn palettes_are_expanded_with_their_opacity() {
    for bits in [Bits::One, Bits::Two, Bits::Four, Bits::Eight] {
        let size = 1 << bits as usize;
        let palette: Vec<u8> = invented(3 * size, 256).iter().map(|level| *level as u8).collect();
        let opacity: Vec<u8> = (0..size).map(|index| 255 - index as u8).collect();
        for transparent in [false, true] {
            let (file, samples) = encode((19, 7), ColorType::Indexed, bits, |encoder| {
                encoder.set_palette(palette.clone());
                if transparent {
                    encoder.set_trns(opacity.clone());
                }
            });
            let whole = read(&file).unwrap();
            let expected = samples.iter().flat_map(|index| {
                let index = usize::from(*index);
                let colour = palette[3 * index..][..3].iter().copied();
                colour.chain(transparent.then_some(opacity[index])).map(u16::from)
            });
            assert!(whole.samples.into_iter().eq(expected));
        }
    }
}

#[test]
fn a_transparent_colour_becomes_opacity() {
    let (file, samples) = encode((40, 40), ColorType::Grayscale, Bits::Eight, |encoder| {
        encoder.set_trns(vec![0, 7]);
    });
    assert!(samples.contains(&7), "the colour occurs");
    let whole = read(&file).unwrap();
    assert_eq!(whole.picture.format.alpha, Alpha::Straight);
    let expected = samples.iter().flat_map(|gray| [*gray, if *gray == 7 { 0 } else { 255 }]);
    assert!(whole.samples.into_iter().eq(expected));
}

#[test]
fn resolution_orientation_and_profile_are_taken_from_the_chunks() {
    let (file, _) = encode((3, 3), ColorType::Rgb, Bits::Eight, |encoder| {
        encoder.set_pixel_dims(Some(png::PixelDimensions {
            xppu: 11_811,
            yppu: 5_906,
            unit: png::Unit::Meter,
        }));
    });
    let profile = b"not interpreted here".repeat(99);
    let mut encoder = flate2::write::ZlibEncoder::new(b"name\0\0".to_vec(), Default::default());
    std::io::Write::write_all(&mut encoder, &profile).unwrap();
    let file = with_chunk(&file, b"IDAT", b"iCCP", &encoder.finish().unwrap());
    // Some writers put Exif data after the pixels.
    let file = with_chunk(&file, b"IEND", b"eXIf", &exif(3, 300));
    let picture = open_bytes(&file).unwrap();
    assert_eq!(picture.file_format, FileFormat::Png);
    assert_eq!(picture.orientation, Orientation::HalfTurn);
    assert_eq!(picture.profile, Some(profile));
    assert_eq!(picture.resolution.unwrap().to_string(), "300 dpi across, 150 dpi along (PNG pHYs)");
    assert!(matches!(picture.notices[..], [Notice::ResolutionsDiffer { .. }]));
}

#[test]
fn a_profile_that_can_not_be_unpacked_is_told_and_a_huge_one_is_refused() {
    let (file, _) = encode((3, 3), ColorType::Rgb, Bits::Eight, |_| {});
    let broken = with_chunk(&file, b"IDAT", b"iCCP", b"name\0\0not zlib");
    let picture = open_bytes(&broken).unwrap();
    assert!(picture.profile.is_none());
    assert!(matches!(picture.notices[..], [Notice::ProfileUnusable { .. }]));

    let mut encoder = flate2::write::ZlibEncoder::new(b"name\0\0".to_vec(), Default::default());
    std::io::Write::write_all(&mut encoder, &[0; 5000]).unwrap();
    let huge = with_chunk(&file, b"IDAT", b"iCCP", &encoder.finish().unwrap());
    let limits = Limits { max_profile_bytes: 4999, ..Limits::default() };
    let error = read_within(&huge, &limits).err().unwrap();
    assert!(error.to_string().starts_with("the embedded profile is 5000 bytes"), "{error}");
    let stored = with_chunk(&file, b"IDAT", b"iCCP", &[0; 5000]);
    assert_eq!(variant(&read_within(&stored, &limits).err().unwrap()), "TooLarge");
}

#[test]
fn colour_described_without_a_profile_is_told() {
    let (file, _) = encode((3, 3), ColorType::Rgb, Bits::Eight, |_| {});
    for (name, content, told) in [
        (b"gAMA", &100_000_u32.to_be_bytes()[..], 1),
        (b"cICP", &[9, 16, 0, 1], 1),
        (b"sRGB", &[0], 0),
    ] {
        let picture = open_bytes(&with_chunk(&file, b"IDAT", name, content)).unwrap();
        assert_eq!(picture.notices.len(), told, "{:?}", picture.notices);
    }
}

#[test]
fn exif_data_that_are_broken_or_too_large_are_told() {
    let (file, _) = encode((3, 3), ColorType::Rgb, Bits::Eight, |_| {});
    for content in [exif(6, 300)[..30].to_vec(), vec![0; (1 << 20) + 1]] {
        let picture = open_bytes(&with_chunk(&file, b"IDAT", b"eXIf", &content)).unwrap();
        assert_eq!(picture.notices, [Notice::ExifUnreadable]);
    }
}

#[test]
fn of_an_animation_the_first_picture_is_read_and_the_rest_told() {
    let mut file = Vec::new();
    let mut encoder = Encoder::new(&mut file, 2, 2);
    encoder.set_color(ColorType::Grayscale);
    encoder.set_animated(2, 0).unwrap();
    let mut writer = encoder.write_header().unwrap();
    writer.write_image_data(&[1, 2, 3, 4]).unwrap();
    writer.write_image_data(&[9, 9, 9, 9]).unwrap();
    writer.finish().unwrap();
    let whole = read(&file).unwrap();
    assert_eq!(whole.samples, [1, 2, 3, 4]);
    assert_eq!(whole.picture.notices, [Notice::FurtherPictures { page: 1, pages: None }]);
}

#[test]
fn a_wrong_check_sum_is_damage_in_any_chunk() {
    let (file, _) = encode((30, 30), ColorType::Rgb, Bits::Eight, |_| {});
    let file = with_chunk(&file, b"IDAT", b"tEXt", b"Title\0harbour");
    for name in [b"IHDR", b"tEXt", b"IDAT", b"IEND"] {
        let at = file.windows(4).position(|four| four == name).unwrap();
        let length = u32::from_be_bytes(file[at - 4..at].try_into().unwrap()) as usize;
        let mut wrong = file.clone();
        wrong[at + 4 + length] ^= 1;
        let error = read(&wrong).err().unwrap_or_else(|| panic!("{name:?}"));
        assert_eq!(variant(&error), "Corrupt", "{error}");
    }
}
