//! The CMYK that is assumed where nothing says otherwise, against the published table.

use std::fs;

use colour::{ColourModel, Lab, Xyz};
use inkfathom_icc::{RenderingIntent, SourceProfile, SourceTransform};

/// Linear interpolation between patches that are 10 to 60 % apart; measured: mean 0.079, highest
/// 0.654.
const INTERPOLATED_MEAN: f64 = 0.1;
const INTERPOLATED_HIGHEST: f64 = 0.7;
/// The table gives CIELAB with two decimals and XYZ with two: both round.
const TABLE_ROUNDS: f64 = 0.06;

/// Device values 0 to 1, XYZ and CIELAB of each patch of TR 006.
fn patches() -> Vec<([f64; 4], Xyz, Lab)> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/tr006.txt");
    let text = fs::read_to_string(path).unwrap();
    let rows = text.lines().skip_while(|line| *line != "BEGIN_DATA").skip(1);
    rows.take_while(|line| *line != "END_DATA")
        .map(|row| {
            let n: Vec<f64> =
                row.split_whitespace().map(|number| number.parse().unwrap()).collect();
            let device = [n[1], n[2], n[3], n[4]].map(|percent| percent / 100.0);
            (device, Xyz { x: n[5], y: n[6], z: n[7] }, Lab { l: n[8], a: n[9], b: n[10] })
        })
        .collect()
}

fn distance(one: Lab, other: Lab) -> f64 {
    ((one.l - other.l).powi(2) + (one.a - other.a).powi(2) + (one.b - other.b).powi(2)).sqrt()
}

fn computed(intent: RenderingIntent, device: [f64; 4]) -> Lab {
    let transform = SourceTransform::new(&SourceProfile::coated_offset(), intent).unwrap();
    transform.to_lab(&device).unwrap()[0]
}

#[test]
fn every_patch_of_the_table_comes_out_as_published() {
    let patches = patches();
    let transform = SourceTransform::new(
        &SourceProfile::coated_offset(),
        RenderingIntent::AbsoluteColorimetric,
    )
    .unwrap();
    assert_eq!(patches.len(), 1617);
    let (mut sum, mut highest) = (0.0, 0.0_f64);
    for (device, _, published) in &patches {
        let difference = distance(transform.to_lab(device).unwrap()[0], *published);
        sum += difference;
        highest = highest.max(difference);
    }
    assert!(sum / 1617.0 < INTERPOLATED_MEAN, "mean {}", sum / 1617.0);
    assert!(highest < INTERPOLATED_HIGHEST + TABLE_ROUNDS, "highest {highest}");
}

#[test]
fn relative_colour_is_relative_to_the_paper_of_the_table() {
    let paper = patches()[0].1;
    let relative = computed(RenderingIntent::RelativeColorimetric, [0.0; 4]);
    assert!(distance(relative, Lab::WHITE) < 1e-9);
    for (device, xyz, _) in patches().into_iter().step_by(97) {
        let relative = computed(RenderingIntent::RelativeColorimetric, device);
        assert!(distance(relative, xyz.to_lab(paper)) < INTERPOLATED_HIGHEST, "{device:?}");
    }
}

#[test]
fn its_black_is_the_darkest_patch_without_colour() {
    let profile = SourceProfile::assumed(ColourModel::Cmyk);
    let transform = SourceTransform::new(&profile, RenderingIntent::RelativeColorimetric).unwrap();
    let black = transform.black_point().unwrap().unwrap();
    let darkest = patches().iter().map(|patch| patch.2.l).fold(100.0, f64::min);
    assert!((black.l - darkest).abs() < 1.0, "{black} beside {darkest}");
    assert_eq!((black.a, black.b), (0.0, 0.0));
}

#[test]
fn cielab_as_stored_is_the_colour_itself() {
    let transform =
        SourceTransform::new(&SourceProfile::cielab(), RenderingIntent::RelativeColorimetric)
            .unwrap();
    let neutral = 128.0 / 255.0;
    let colours = transform.to_lab(&[1.0, neutral, neutral, 0.5, 0.0, 1.0]).unwrap();
    assert_eq!(colours[0], Lab::WHITE);
    assert_eq!(colours[1], Lab { l: 50.0, a: -128.0, b: 127.0 });
}
