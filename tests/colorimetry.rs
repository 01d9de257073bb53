//! Colorimetry against published tables and an independent computation.

#![expect(clippy::unwrap_used, reason = "tests' own functions may panic as tests do")]

use std::fs;

use approx::assert_abs_diff_eq;
use colour::{
    BANDS, FIRST_BAND_NM, Illuminant, LAST_BAND_NM, Lab, STEP_NM, Spectrum, delta_e_00, delta_e_ab,
};
use inkfathom_tests::reference;

/// The reference prints six decimals of reflectance and four of CIELAB.
const PRINTED_DECIMALS_D50: f64 = 0.001;
/// The reference sums illuminant A over 36 bands with other end weights than ours.
const SUMMATION_METHOD_A: f64 = 0.02;
/// Table 1 prints ΔE00 to four decimals.
const PRINTED_DECIMALS_DELTA_E: f64 = 1e-4;

fn numbers(line: &str) -> Vec<f64> {
    line.split(',').filter_map(|field| field.parse().ok()).collect()
}

fn lines(name: &str) -> Vec<String> {
    let text = fs::read_to_string(reference(name)).unwrap();
    text.lines().skip(1).map(str::to_owned).collect()
}

fn lab(values: &[f64]) -> Lab {
    Lab { l: values[0], a: values[1], b: values[2] }
}

#[test]
fn twelve_spectra_have_the_reference_colours_under_d50_and_a() {
    let rows = lines("spectra-to-lab.csv");
    assert_eq!(rows.len(), 12);
    for row in rows {
        let values = numbers(&row);
        let spectrum = Spectrum::new(values[..BANDS].try_into().unwrap()).unwrap();
        let colour_under = |light: Illuminant| light.tristimulus(&spectrum).to_lab(light.white());
        let d50 = delta_e_ab(colour_under(Illuminant::D50), lab(&values[BANDS + 3..]));
        let a = delta_e_ab(colour_under(Illuminant::A), lab(&values[BANDS + 9..]));
        assert!(d50 <= PRINTED_DECIMALS_D50, "D50 differs by {d50}: {row}");
        assert!(a <= SUMMATION_METHOD_A, "A differs by {a}: {row}");
    }
}

#[test]
fn thirty_four_published_pairs_have_their_delta_e_00_in_both_orders() {
    let rows = lines("ciede2000-pairs.csv");
    assert_eq!(rows.len(), 34);
    for row in rows {
        let values = numbers(&row);
        let (one, other) = (lab(&values[..3]), lab(&values[3..6]));
        for difference in [delta_e_00(one, other), delta_e_00(other, one)] {
            assert_abs_diff_eq!(difference, values[6], epsilon = PRINTED_DECIMALS_DELTA_E);
        }
    }
}

#[test]
fn d50_weights_equal_the_table_with_its_ends_folded() {
    let text = fs::read_to_string(reference("e2022-weights-d50-2deg-10nm.csv")).unwrap();
    let rows: Vec<Vec<f64>> = text.lines().map(numbers).filter(|row| row.len() == 4).collect();
    let mut folded = [[0.0; 3]; BANDS];
    for row in rows {
        let nanometres = row[0].clamp(FIRST_BAND_NM, LAST_BAND_NM);
        let is_it = |band: &usize| FIRST_BAND_NM + STEP_NM * *band as f64 == nanometres;
        let band = (0..BANDS).find(is_it).unwrap();
        for axis in 0..3 {
            folded[band][axis] += row[axis + 1];
        }
    }
    for (ours, theirs) in Illuminant::D50.weights().iter().zip(&folded) {
        for axis in 0..3 {
            assert_abs_diff_eq!(ours[axis], theirs[axis], epsilon = 5e-6);
        }
    }
}

#[test]
fn whites_of_the_illuminants_are_the_published_ones() {
    for (light, expected) in [
        (Illuminant::D50, [96.4238, 100.0, 82.5129]),
        (Illuminant::D65, [95.0469, 100.0, 108.8830]),
        (Illuminant::A, [109.8486, 100.0, 35.5910]),
    ] {
        let white = light.white();
        assert_abs_diff_eq!(white.x, expected[0], epsilon = 0.001);
        assert_abs_diff_eq!(white.y, expected[1], epsilon = 0.001);
        assert_abs_diff_eq!(white.z, expected[2], epsilon = 0.001);
    }
}
