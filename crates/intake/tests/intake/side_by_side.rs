//! TIFF files read by several readers side by side.

use std::num::NonZeroUsize;

use colour::{Band, RowSource, Samples};
use inkfathom_intake::IntakeError;

use crate::support::{invented, open_bytes, read};
use crate::tiff_writer::{Form, Sheet, TiffFile};

const WIDTH: usize = 40;
const HEIGHT: usize = 37;

type Part = Box<dyn RowSource<Error = IntakeError>>;

fn file(compression: u64, tile: Option<(usize, usize)>) -> TiffFile {
    let samples = invented(WIDTH * HEIGHT * 3, 256);
    let sheet =
        Sheet { width: WIDTH, height: HEIGHT, per_pixel: 3, photometric: 2, samples: &samples };
    sheet.store(Form {
        big_endian: false,
        wide: false,
        bits: 8,
        tile,
        rows_per_strip: 3,
        planar: false,
        compression,
        differences: false,
    })
}

fn two() -> NonZeroUsize {
    NonZeroUsize::MIN.saturating_add(1)
}

/// The bands of all parts, each part asked in turn, by their first row.
fn bands_of(mut parts: Vec<Part>) -> Vec<Band> {
    let mut bands = Vec::new();
    while !parts.is_empty() {
        parts.retain_mut(|part| match part.next_band().unwrap() {
            Some(band) => {
                bands.push(band);
                true
            }
            None => false,
        });
    }
    bands.sort_by_key(|band| band.first_row);
    bands
}

#[test]
fn parts_deliver_each_row_once_and_as_one_reader_does() {
    for compression in [1, 5, 8, 32_773] {
        for tile in [None, Some((16, 16))] {
            let bytes = file(compression, tile).bytes();
            let mut picture = open_bytes(&bytes).unwrap();
            let parts = picture.rows.divide(NonZeroUsize::MIN);
            assert_eq!(parts.len(), 1);
            let mut picture = open_bytes(&bytes).unwrap();
            let mut samples = Vec::new();
            // Three rows of tiles are too few for two.
            let parts = match picture.rows.divide(two()) {
                parts if parts.is_empty() => picture.rows.divide(NonZeroUsize::MIN),
                parts => parts,
            };
            for band in bands_of(parts) {
                let Samples::Eight(bytes) = band.samples else { panic!("bytes") };
                assert_eq!(samples.len(), band.first_row as usize * WIDTH * 3);
                samples.extend(bytes.into_iter().map(u16::from));
            }
            assert_eq!(samples, read(&bytes).unwrap().samples, "{compression} {tile:?}");
            assert!(picture.rows.next_band().unwrap().is_none());
        }
    }
}

#[test]
fn the_first_fault_in_the_file_is_told_whoever_meets_it() {
    let mut file = file(8, None);
    for broken in [3, 4, 8] {
        let middle = file.chunks[broken].len() / 2;
        file.chunks[broken][middle] ^= 0x55;
    }
    let bytes = file.bytes();
    let alone = read(&bytes).err().unwrap().to_string();
    let mut picture = open_bytes(&bytes).unwrap();
    bands_of(picture.rows.divide(two()));
    let told = picture.rows.next_band().unwrap_err().to_string();
    assert_eq!(told, alone);
    assert!(told.contains("chunk 3"), "{told}");
    assert!(picture.rows.next_band().unwrap().is_none(), "a fault is told once");
}

#[test]
fn a_reading_that_has_begun_is_not_divided() {
    let mut picture = open_bytes(&file(1, None).bytes()).unwrap();
    picture.rows.next_band().unwrap();
    assert!(picture.rows.divide(two()).is_empty());
}
