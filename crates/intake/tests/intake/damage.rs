use std::io::{self, Cursor, Read, Seek, SeekFrom};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use inkfathom_intake::{Limits, open};
use proptest::prelude::*;

use crate::support::{drain, invented, read, read_within, variant};
use crate::tiff_writer::{Form, Sheet, rational, short};

fn jpeg(progressive: bool) -> Vec<u8> {
    let samples: Vec<u8> = invented(40 * 24 * 3, 256).iter().map(|sample| *sample as u8).collect();
    let mut file = Vec::new();
    let mut encoder = jpeg_encoder::Encoder::new(&mut file, 75);
    encoder.set_progressive(progressive);
    encoder.encode(&samples, 40, 24, jpeg_encoder::ColorType::Rgb).unwrap();
    file
}

fn png(colours: png::ColorType) -> Vec<u8> {
    let samples: Vec<u8> = invented(20 * 12 * 4, 256).iter().map(|sample| *sample as u8).collect();
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, 20, 12);
    encoder.set_color(colours);
    let mut writer = encoder.write_header().unwrap();
    writer.write_image_data(&samples[..20 * 12 * colours.samples()]).unwrap();
    writer.finish().unwrap();
    file
}

fn tiff(form: Form) -> Vec<u8> {
    let samples = invented(20 * 12 * 3, 1 << form.bits);
    let sheet = Sheet { width: 20, height: 12, per_pixel: 3, photometric: 2, samples: &samples };
    let mut file = sheet.store(form);
    file.entries.extend([rational(282, 300, 1), rational(283, 300, 1), short(274, &[1])]);
    file.bytes()
}

/// A small file of each kind of decoding.
fn small_files() -> Vec<Vec<u8>> {
    let plain = Form::default();
    vec![
        jpeg(false),
        jpeg(true),
        png(png::ColorType::Rgb),
        png(png::ColorType::GrayscaleAlpha),
        tiff(plain),
        tiff(Form { compression: 5, differences: true, wide: true, ..plain }),
        tiff(Form { compression: 8, bits: 16, tile: Some((16, 16)), ..plain }),
        tiff(Form { compression: 32_773, planar: true, big_endian: true, ..plain }),
    ]
}

/// Limits that keep invented sizes from taking long.
const TIGHT: Limits = Limits {
    max_pixels: 1 << 20,
    max_side: 1 << 14,
    max_profile_bytes: 1 << 16,
    max_held_bytes: 1 << 24,
    max_marks: 1 << 16,
    max_content_bytes: 1 << 24,
};

#[test]
fn a_file_cut_anywhere_is_an_error() {
    for file in small_files() {
        assert!(read(&file).is_ok(), "the whole file is sound");
        for length in 0..file.len() {
            let Err(error) = read(&file[..length]) else {
                panic!("{length} of {} bytes are taken for the whole", file.len());
            };
            let kind = variant(&error);
            let expected = match length {
                0 => "Empty",
                1..8 if kind == "NotAnImage" => kind,
                _ => "Truncated",
            };
            assert_eq!(kind, expected, "{length} of {} bytes: {error}", file.len());
        }
    }
}

proptest! {
    #[test]
    fn changed_bytes_never_panic_or_hang(
        which in 0..small_files().len(),
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
        cut in any::<prop::sample::Index>(),
    ) {
        let mut file = small_files().swap_remove(which);
        for (place, value) in changes {
            let place = place.index(file.len());
            file[place] = value;
        }
        let _ = read_within(&file, &TIGHT);
        file.truncate(cut.index(file.len()));
        let _ = read_within(&file, &TIGHT);
    }

    #[test]
    fn arbitrary_bytes_after_a_mark_never_panic_or_hang(
        mark in prop::sample::select(vec![
            &b"\xff\xd8\xff"[..], b"\x89PNG\r\n\x1a\n", b"II*\0", b"MM\0*", b"II+\0\x08\0\0\0", b"",
        ]),
        rest in prop::collection::vec(any::<u8>(), 0..400),
    ) {
        let _ = read_within(&[mark, &rest].concat(), &TIGHT);
    }
}

/// Bytes that fail from some moment on.
struct Flaky {
    bytes: Cursor<Vec<u8>>,
    broken: Arc<AtomicBool>,
}

impl Read for Flaky {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.broken.load(Ordering::Relaxed) {
            return Err(io::Error::other("the disk is gone"));
        }
        self.bytes.read(buffer)
    }
}

impl Seek for Flaky {
    fn seek(&mut self, position: SeekFrom) -> io::Result<u64> {
        self.bytes.seek(position)
    }
}

#[test]
fn a_machine_that_fails_while_rows_are_read_is_not_blamed_on_the_file() {
    for file in small_files() {
        let broken = Arc::new(AtomicBool::new(false));
        let flaky = Flaky { bytes: Cursor::new(file), broken: Arc::clone(&broken) };
        let mut picture = open(flaky, &Limits::default()).unwrap();
        broken.store(true, Ordering::Relaxed);
        let error = drain(&mut picture.rows).err().unwrap();
        assert_eq!(variant(&error), "Io", "{error}");
        assert!(error.to_string().contains("the disk is gone"), "{error}");
        assert!(picture.rows.next_band().unwrap().is_none(), "nothing more after an error");
    }
}

#[test]
fn a_picture_dropped_half_way_lets_go_of_its_file_at_once() {
    // Sixteen bands: more than may wait for the reader, so the decoder can't be done already.
    let samples = vec![77; 64 * 4096];
    let mut file = Vec::new();
    let encoder = jpeg_encoder::Encoder::new(&mut file, 75);
    encoder.encode(&samples, 64, 4096, jpeg_encoder::ColorType::Luma).unwrap();
    let broken = Arc::new(AtomicBool::new(false));
    let flaky = Flaky { bytes: Cursor::new(file), broken: Arc::clone(&broken) };
    let mut picture = open(flaky, &Limits::default()).unwrap();
    assert!(picture.rows.next_band().unwrap().is_some());
    assert_eq!(Arc::strong_count(&broken), 2);
    drop(picture);
    assert_eq!(Arc::strong_count(&broken), 1);
}
