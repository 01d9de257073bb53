//! Proofs on a built-in set: what holds for every picture.

use std::sync::{Arc, LazyLock};

use census::Preview;
use colour::{ColourModel, Lab, delta_e_00};
use inkfathom_proof::{
    DifferenceStatistics, Fineness, Holding, PreviewColours, PreviewProof, PreviewSample,
    ProofPress, Thresholds, Verdict, Viewing, WantedColour, maps,
};
use inkset::builtin;
use separation::{Rendering, Separating, Separation, SeparationInputs};

static FIVE: LazyLock<Separation> = LazyLock::new(|| {
    let set = builtin("five").and_then(|set| set.parse().ok()).expect("a built-in set").set;
    let inputs = SeparationInputs::defaults(&set).expect("a substrate and a print mode");
    inputs.build().expect("a separation")
});

/// Black-point compensation of a source whose black is perfect.
fn compensated() -> ProofPress<'static> {
    let source_black = Lab { l: 0.0, a: 0.0, b: 0.0 };
    let darkest = FIVE.darkest_neutral();
    ProofPress::new(&*FIVE, Rendering::BlackPointCompensated { source_black, darkest })
}

fn relative() -> ProofPress<'static> {
    ProofPress::new(&*FIVE, Rendering::Relative)
}

fn wanted(colour: Lab) -> WantedColour {
    WantedColour { intended: colour, rendered_from: colour }
}

/// A smooth picture that passes through much of the encoding: hue across, lightness down.
fn rainbow() -> Preview {
    let (width, height) = (160_u32, 90_u32);
    let sample = |phase: f64, across: f64, down: f64| {
        let wave = 0.5 + 0.5 * (std::f64::consts::TAU * (across + phase)).cos();
        let mixed = 0.35 + 0.65 * wave;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a share of the largest 16-bit sample"
        )]
        let sample = (65_535.0 * mixed * down).round() as u16;
        sample
    };
    let pixel = |place: u32| {
        let across = f64::from(place % width) / f64::from(width);
        let down = 1.0 - f64::from(place / width) / f64::from(height);
        [0.0, 1.0 / 3.0, 2.0 / 3.0].map(|phase| sample(phase, across, down))
    };
    let samples = (0..width * height).flat_map(pixel).collect();
    Preview { width, height, model: ColourModel::Rgb, samples }
}

/// Stands for a profile: a plain gamma of 2 with primaries on the axes of CIELAB. What matters
/// here is only that it is smooth.
fn to_lab(encoded: &[f64]) -> Vec<WantedColour> {
    let lab = |pixel: &[f64]| {
        let [r, g, b] = [0, 1, 2].map(|place| pixel[place]);
        let l = 100.0 * (0.3 * r + 0.6 * g + 0.1 * b);
        Lab { l, a: 60.0 * (r - g), b: 60.0 * (0.5 * (r + g) - b) }
    };
    encoded.chunks_exact(3).map(|pixel| wanted(lab(pixel))).collect()
}

fn prove(fineness: Fineness, press: &ProofPress<'_>) -> PreviewProof {
    let colours = Arc::new(PreviewColours::of(&rainbow(), fineness));
    let wanted = to_lab(&colours.encoded());
    PreviewProof::new(colours, &wanted, press, Viewing::default())
}

#[test]
fn white_is_printed_as_white_with_no_ink() {
    for press in [relative(), compensated()] {
        let proved = press.prove(&wanted(Lab::WHITE));
        assert!(delta_e_00(proved.printed, Lab::WHITE) < 1e-9);
        assert!(proved.separated.coverages.iter().all(|coverage| coverage.to_fraction() == 0.0));
    }
}

#[test]
fn a_printable_colour_is_held_and_a_violet_light_is_lost() {
    let verdict = |colour: Lab| {
        let press = relative();
        let colours = [(press.prove(&wanted(colour)), 10)];
        Verdict::of(&press, &colours, 0, Thresholds::default())
    };
    let gray = verdict(Lab { l: 60.0, a: 2.0, b: 5.0 });
    assert_eq!((gray.holding, gray.loss), (Holding::Holds, 0.0));
    let light = verdict(Lab { l: 40.0, a: 70.0, b: -100.0 });
    assert_eq!(light.holding, Holding::Loses);
    assert_eq!(light.lost.len(), 1);
    assert!(light.against_intended.max >= 5.0, "{light:?}");
}

#[test]
fn unprinted_paper_takes_part_in_the_area_and_holds() {
    let press = relative();
    let colours = [(press.prove(&wanted(Lab { l: 40.0, a: 70.0, b: -100.0 })), 1)];
    let verdict = Verdict::of(&press, &colours, 99, Thresholds::default());
    assert_eq!(verdict.out_of_gamut.to_fraction(), 0.01);
    assert_eq!(verdict.holding, Holding::Holds);
}

/// What the documentation of `Fineness::Lattice` states.
const LATTICE_MEAN: f64 = 0.1;

#[test]
fn proofs_on_a_lattice_come_near_exact_ones() {
    let press = compensated();
    let printed = |fineness| prove(fineness, &press).pixels(|pixel| pixel.printed);
    let (exact, lattice) = (printed(Fineness::Exact), printed(Fineness::Lattice));
    let apart: Vec<(f64, u64)> =
        exact.iter().zip(&lattice).map(|(one, other)| (delta_e_00(*one, *other), 1)).collect();
    let statistics = DifferenceStatistics::of(&apart);
    println!("lattice against exact: {statistics:?}");
    assert!(statistics.mean < LATTICE_MEAN, "{statistics:?}");
}

#[test]
fn any_number_of_threads_gives_the_same_proof() {
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| {
            let proof = prove(Fineness::Lattice, &compensated());
            (
                proof.soft_proof(),
                maps::difference_map(&proof),
                maps::load_map(&proof, FIVE.limits()),
            )
        })
    };
    assert_eq!(with(1), with(3));
}

#[test]
fn loads_on_a_map_are_those_of_the_channels() {
    let proof = prove(Fineness::Exact, &compensated());
    let map = maps::load_map(&proof, FIVE.limits());
    let limit = FIVE.limits().load().to_millilitres_per_square_metre();
    let shares = proof.pixels(|pixel| {
        let each = pixel.coverages.iter().zip(Separating::limits(&*FIVE).lay_down());
        each.map(|(c, l)| c.to_fraction() * l.to_millilitres_per_square_metre()).sum::<f64>()
            / limit
    });
    for (share, pixel) in shares.iter().zip(&map.pixels) {
        assert!(*share <= 1.0 + 1e-6, "{share} of the limit");
        if *share < 0.99 {
            assert_eq!(*pixel, maps::LOAD_SCALE.colour(*share));
        }
    }
}

#[test]
fn a_tinted_separation_of_nothing_is_paper_and_of_all_is_the_solid() {
    let model = FIVE.model();
    let viewing = Viewing::default();
    for channel in [0, 1, 2] {
        assert!(delta_e_00(maps::tint(model, channel, 0.0, viewing), Lab::WHITE) < 1e-6);
        let solid = model.lab(model.solid(channel));
        assert!(delta_e_00(maps::tint(model, channel, 1.0, viewing), solid) < 0.05);
    }
}

#[test]
fn what_is_proved_for_one_preview_serves_another_of_the_same_picture() {
    let press = compensated();
    let (rainbow, small) = (rainbow(), rainbow().reduced(900));
    let [own, other] = PreviewColours::of_two(&small, &rainbow).map(Arc::new);
    let proof =
        PreviewProof::new(Arc::clone(&own), &to_lab(&own.encoded()), &press, Viewing::default());
    let shared = proof.of_other(other).expect("one lattice");
    let alone = prove(Fineness::Lattice, &press);
    assert_eq!(shared.soft_proof(), alone.soft_proof());
    let stray = PreviewColours::of(&rainbow, Fineness::Lattice);
    assert!(proof.of_other(Arc::new(stray)).is_none());
}

/// A percentile of pixels that were looked at, against that of all of them.
const SAMPLED_P95: f64 = 0.02;

#[test]
fn a_sample_of_a_preview_has_the_percentile_of_all_its_pixels() {
    let press = relative();
    let preview = Preview { width: 160, height: 360, ..stretched(&rainbow(), 4) };
    let statistics = |encoded: &[f64], pixels: &[u64]| {
        let proved = to_lab(encoded).into_iter().zip(pixels).map(|(wanted, pixels)| {
            let proved = press.prove(&wanted);
            (delta_e_00(proved.intended, proved.clipped), *pixels)
        });
        DifferenceStatistics::of(&proved.collect::<Vec<_>>())
    };
    let sample = PreviewSample::of(&preview);
    let all = PreviewColours::of(&preview, Fineness::Exact).encoded();
    assert!(sample.encoded().len() < all.len(), "{}", all.len() / 3);
    let ones = vec![1; all.len() / 3];
    let (sampled, all) = (statistics(sample.encoded(), sample.pixels()), statistics(&all, &ones));
    assert!((sampled.p95 - all.p95).abs() < SAMPLED_P95, "{sampled:?} {all:?}");
    assert!(all.p95 > 1.0, "{all:?}");
}

/// A preview with so many rows for each of its rows, each a little darker.
fn stretched(preview: &Preview, times: u16) -> Preview {
    let row = preview.width as usize * 3;
    let rows = preview.samples.chunks_exact(row);
    let darker = |row: &[u16], step: u16| -> Vec<u16> {
        row.iter().map(|sample| sample - sample / 400 * step).collect()
    };
    let samples =
        rows.flat_map(|row| (0..times).flat_map(|step| darker(row, step)).collect::<Vec<_>>());
    Preview { samples: samples.collect(), ..preview.clone() }
}
