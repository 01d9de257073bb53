use std::fs::File;
use std::io::BufReader;
use std::path::Path;

use inkfathom_tests::repository;
use tempfile::tempdir;

use crate::pictures::SHORE;
use crate::program::{Document, inkfathom, list, number};

/// The accuracy that the census promises against the sum over pixels: of the coverage of all
/// channels together, and of a single channel that carries ink.
const OF_ALL_COVERAGE: f64 = 0.000_5;
const OF_A_CHANNEL: f64 = 0.005;

/// Columns of the left tile; not a multiple of anything.
const CUT: usize = 317;

/// Samples of an opaque RGB picture of 8 bits with what its file says of it.
struct Pixels {
    info: png::Info<'static>,
    samples: Vec<u8>,
}

fn pixels_of(path: &str) -> Pixels {
    let file = BufReader::new(File::open(repository().join(path)).unwrap());
    let mut reader = png::Decoder::new(file).read_info().unwrap();
    let mut samples = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut samples).unwrap();
    assert_eq!(reader.output_color_type(), (png::ColorType::Rgb, png::BitDepth::Eight));
    Pixels { info: reader.info().clone(), samples }
}

impl Pixels {
    /// Saves some columns as a picture of their own, with the same profile.
    fn save_columns(&self, columns: std::ops::Range<usize>, path: &Path) {
        let mut info =
            png::Info::with_size(u32::try_from(columns.len()).unwrap(), self.info.height);
        info.color_type = self.info.color_type;
        info.bit_depth = self.info.bit_depth;
        info.icc_profile.clone_from(&self.info.icc_profile);
        let rows = self.samples.chunks_exact(3 * self.info.width as usize);
        let cut: Vec<u8> =
            rows.flat_map(|row| &row[3 * columns.start..3 * columns.end]).copied().collect();
        let encoder = png::Encoder::with_info(File::create(path).unwrap(), info).unwrap();
        encoder.write_header().unwrap().write_image_data(&cut).unwrap();
    }
}

fn coverages(document: &Document, name: &str) -> Vec<f64> {
    let channels = list(&document.estimate(name, 0)["channels"]);
    channels.iter().map(|channel| number(&channel["coverage"])).collect()
}

#[test]
fn two_tiles_together_have_the_coverage_of_the_whole() {
    let folder = tempdir().unwrap();
    let whole = pixels_of(SHORE);
    let width = whole.info.width as usize;
    assert!(whole.info.icc_profile.is_some(), "the tiles must keep a profile");
    let [left, right] = ["left.png", "right.png"].map(|name| folder.path().join(name));
    whole.save_columns(0..CUT, &left);
    whole.save_columns(CUT..width, &right);
    let [left, right] = [&left, &right].map(|path| path.to_str().unwrap());
    let arguments = ["estimate", SHORE, left, right, "--ink-set", "nine", "--width", "60cm"];
    let run = inkfathom(arguments.into_iter().chain(["--format", "json"])).ending_with(0);
    let document = run.document();
    let share = CUT as f64 / width as f64;
    let tiles = coverages(&document, left).into_iter().zip(coverages(&document, right));
    let of_tiles: Vec<f64> =
        tiles.map(|(left, right)| share * left + (1.0 - share) * right).collect();
    let of_whole = coverages(&document, SHORE);
    let all: f64 = of_whole.iter().sum();
    let off = of_tiles.iter().sum::<f64>() - all;
    assert!(off.abs() <= OF_ALL_COVERAGE * all, "off by {off} of {all}");
    for (tiles, whole) in of_tiles.iter().zip(&of_whole).filter(|(_, whole)| **whole > 0.01 * all) {
        assert!((tiles - whole).abs() <= OF_A_CHANNEL * whole, "{tiles} is not {whole}");
    }
}
