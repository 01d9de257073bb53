//! CMYK and CIELAB: sparse cells, as fine as their number allows.

use std::collections::BTreeMap;

use colour::{BitDepth, ColourModel};
use inkfathom_census::{ColourCensus, SourceColour};

use crate::pictures::{Noise, Picture, Scene, taker};

/// The scene in inks: a grey share of each colour is black.
fn in_inks(scene: Scene, width: u32, height: u32) -> Picture {
    let rgb: Vec<f64> = scene.samples(width, height).collect();
    let inks = rgb.as_chunks::<3>().0.iter().flat_map(|colour| {
        let black = (1.0 - colour.iter().copied().fold(0.0, f64::max)) * 0.8;
        let ink = |sample: f64| (1.0 - sample - black) / (1.0 - black);
        [ink(colour[0]), ink(colour[1]), ink(colour[2]), black]
    });
    let samples = inks.map(|ink| (ink * 255.0).round().clamp(0.0, 255.0) as u8).collect();
    Picture::bytes(width, height, ColourModel::Cmyk, samples)
}

/// More colours than there may be cells.
fn noise(width: u32, height: u32) -> Picture {
    let mut noise = Noise(7);
    let samples = (0..width * height * 4).map(|_| (noise.next() >> 40) as u8).collect();
    Picture::bytes(width, height, ColourModel::Cmyk, samples)
}

#[test]
fn few_colours_are_counted_in_cells_of_two_levels() {
    let picture = in_inks(Scene::Petals, 160, 90);
    let mut plain: BTreeMap<Vec<u64>, (u64, Vec<u64>)> = BTreeMap::new();
    for colour in picture.colours() {
        let samples: Vec<u64> = colour.iter().map(|c| (c * 255.0).round() as u64).collect();
        let white = samples.iter().all(|sample| *sample == 0);
        let key = if white { vec![u64::MAX] } else { samples.iter().map(|s| s / 2).collect() };
        let (pixels, sums) = plain.entry(key).or_insert((0, vec![0; 4]));
        *pixels += 1;
        sums.iter_mut().zip(samples).for_each(|(sum, sample)| *sum += sample);
    }
    let census = picture.taken().census;
    assert_eq!(census.finest_entries().len(), plain.len());
    for (entry, (pixels, sums)) in census.finest_entries().zip(plain.values()) {
        let mean = sums.iter().map(|sum| *sum as f64 / (pixels * 255) as f64);
        assert_eq!((entry.pixels, entry.colour.samples().to_vec()), (*pixels, mean.collect()));
    }
}

#[test]
fn many_colours_give_the_same_cells_for_any_threads_and_tiles() {
    let picture = noise(700, 500);
    let whole = picture.taken().census;
    assert!(whole.entries().len() <= 1 << 18);
    assert_eq!(whole.pixels(), 350_000);
    for threads in [2, 5] {
        let beside = taker(threads).take(&mut picture.bands(&[17, 3])).unwrap();
        assert!(beside.census == whole, "{threads} threads");
    }
    let mut merged = ColourCensus::empty(ColourModel::Cmyk, BitDepth::Eight);
    for (first_row, rows) in [(400, 100), (0, 7), (7, 393)] {
        merged.merge(&picture.tile(first_row, rows).taken().census).unwrap();
    }
    assert!(merged == whole);
}

/// Paper is white minus what each ink takes, which bends as overprints do.
fn light(inks: &[f64]) -> f64 {
    inks.iter().zip([0.7, 0.6, 0.3, 0.95]).map(|(ink, takes)| 1.0 - ink * takes).product()
}

/// The mean of a picture's light may move by this when its colours share the coarsest cells; the
/// rule for ink is a two-thousandth.
const COARSE_CELLS: f64 = 0.0005;

#[test]
fn the_coarsest_cells_keep_sums_of_bent_functions() {
    let picture = noise(700, 500);
    let exact = picture.colours().iter().map(|colour| light(colour)).sum::<f64>() / 350_000.0;
    let entries = picture.taken().census;
    let counted = entries.entries().map(|e| e.pixels as f64 * light(e.colour.samples()));
    let mean = counted.sum::<f64>() / 350_000.0;
    assert!((mean - exact).abs() < COARSE_CELLS * exact, "{mean} beside {exact}");
}

#[test]
fn bare_paper_is_never_averaged_with_near_white() {
    let cmyk = Picture::bytes(2, 1, ColourModel::Cmyk, vec![0, 0, 0, 0, 0, 0, 0, 1]);
    let lab = Picture::bytes(2, 1, ColourModel::Lab, vec![255, 128, 128, 255, 129, 128]);
    for (picture, paper) in [
        (cmyk, SourceColour::Cmyk([0.0; 4])),
        (lab, SourceColour::Lab([1.0, 128.0 / 255.0, 128.0 / 255.0])),
    ] {
        let entries: Vec<_> = picture.taken().census.entries().collect();
        assert_eq!(entries.len(), 2);
        assert_eq!(entries[1].colour, paper);
    }
}

#[test]
fn a_preview_of_inks_is_their_mean() {
    let picture = Picture::bytes(2, 1, ColourModel::Cmyk, vec![0, 100, 200, 50, 200, 0, 0, 50]);
    let preview = picture.taken().preview;
    assert_eq!(preview.model, ColourModel::Cmyk);
    assert_eq!(preview.samples[..4], [0, 100 * 257, 200 * 257, 50 * 257]);
}
