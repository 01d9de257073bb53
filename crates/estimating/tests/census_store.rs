//! A census store saves decoding and changes nothing else.

#![expect(clippy::unwrap_used, reason = "tests' own functions may panic as tests do")]

use std::cell::RefCell;
use std::collections::HashMap;
use std::fs;
use std::io::Cursor;
use std::num::NonZeroUsize;
use std::path::Path;

use colour::{Band, Lab, RasterFormat, RowSource};
use inkfathom_estimating::{CensusStore, CountedPicture};
use intake::{IntakeError, Limits, Picture};

#[derive(Default)]
struct InMemory(RefCell<HashMap<[u8; 32], Vec<u8>>>);

impl CensusStore for InMemory {
    fn load(&self, content_hash: &[u8; 32]) -> Option<Vec<u8>> {
        self.0.borrow().get(content_hash).cloned()
    }

    fn store(&self, content_hash: &[u8; 32], bytes: &[u8]) {
        self.0.borrow_mut().insert(*content_hash, bytes.to_vec());
    }
}

/// Rows that nobody may ask for.
struct Sealed(RasterFormat);

impl RowSource for Sealed {
    type Error = IntakeError;

    fn format(&self) -> RasterFormat {
        self.0
    }

    fn next_band(&mut self) -> Result<Option<Band>, IntakeError> {
        panic!("the picture is decoded again")
    }
}

fn opened(name: &str) -> Picture {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../testimages/edge");
    let bytes = fs::read(folder.join(name)).unwrap();
    intake::open(Cursor::new(bytes), &Limits::default()).unwrap()
}

fn sealed(name: &str) -> Picture {
    let mut picture = opened(name);
    picture.rows = Box::new(Sealed(picture.format));
    picture
}

fn counted(picture: Picture, paper: Option<Lab>, store: &InMemory) -> CountedPicture {
    CountedPicture::recall_or_count(picture, None, paper, NonZeroUsize::MIN, store).unwrap()
}

fn assert_same(one: &CountedPicture, other: &CountedPicture) {
    assert_eq!(one.census, other.census);
    assert_eq!(one.preview, other.preview);
    assert_eq!(one.assumptions, other.assumptions);
    assert_eq!(one.profile_use, other.profile_use);
    assert_eq!(one.stated_size(), other.stated_size());
    assert_eq!(one.content_hash, other.content_hash);
}

#[test]
fn a_picture_that_was_counted_is_not_decoded_again_and_is_the_same() {
    for name in [
        "crop-8.png",
        "crop-16.tif",
        "crop-gray-8.png",
        "crop-alpha.png",
        "crop-orientation-6.jpg",
        "crop-wide-profile.png",
        "crop-300-dpi.png",
    ] {
        let store = InMemory::default();
        let first = counted(opened(name), None, &store);
        let again = counted(sealed(name), None, &store);
        assert_same(&first, &again);
        let alone = CountedPicture::count(opened(name), None, NonZeroUsize::MIN).unwrap();
        assert_same(&first, &alone);
    }
}

#[test]
fn transparency_over_another_paper_is_counted_anew() {
    let store = InMemory::default();
    let on_white = counted(opened("crop-alpha.png"), None, &store);
    let paper = Some(Lab { l: 90.0, a: 1.0, b: 8.0 });
    let on_paper = counted(opened("crop-alpha.png"), paper, &store);
    assert_ne!(on_white.census, on_paper.census);
    assert_same(&on_white, &counted(sealed("crop-alpha.png"), None, &store));
}

#[test]
fn bytes_that_are_no_census_are_counted_anew() {
    let store = InMemory::default();
    let first = counted(opened("crop-8.png"), None, &store);
    for bytes in store.0.borrow_mut().values_mut() {
        let middle = bytes.len() / 2;
        bytes[middle] ^= 1;
    }
    assert_same(&first, &counted(opened("crop-8.png"), None, &store));
}
