use std::sync::LazyLock;

use charts::SampleNames;
use colour::{Illuminant, delta_e_00};
use inkfathom_print_model::{Fit, PrintModel};
use inkset::{InkSet, MixedBands};
use units::Coverage;

use super::{fitted, kept, plain, read, within};

const TR006: &str = include_str!("../../../../tests/reference/tr006.txt");
const SPOT_RAMP: &str = include_str!("../../../../tests/reference/spot-ramp-spectral.txt");

/// What an independent computation of the same models reached on TR 006, and a little room (see
/// `tests/reference/README.md`): mean and 95th percentile.
const PLAIN: [f64; 2] = [0.65, 1.3];
const CELLULAR: [f64; 2] = [0.25, 0.60];

/// Fitted once for all tests: it takes some seconds.
static TR006_FIT: LazyLock<Fit> = LazyLock::new(|| fitted(&read(TR006, &SampleNames::Labels), &[]));

#[test]
fn tr006_is_predicted_as_well_as_an_independent_computation_does() {
    let fit = &*TR006_FIT;
    assert_eq!((fit.patches, fit.bands), (1617, MixedBands::Tristimulus));
    assert_eq!(plain(fit).levels, [2, 2, 2, 2]);
    assert_eq!(plain(fit).measured_primaries, 16);
    within(plain(fit).fitted, PLAIN[0], PLAIN[1]);
    within(plain(fit).left_out.unwrap(), PLAIN[0], PLAIN[1]);
    for cellular in &fit.models[1..] {
        within(cellular.fitted, CELLULAR[0], CELLULAR[1]);
        within(cellular.left_out.unwrap(), CELLULAR[0], CELLULAR[1]);
    }
    assert!(fit.chosen > 0);
    assert!(fit.suspects.is_empty(), "{:?}", fit.suspects);
    assert!(fit.worst.windows(2).all(|pair| pair[0].difference >= pair[1].difference));
}

#[test]
fn a_fitted_set_survives_writing_and_predicts_the_same() {
    let fit = &*TR006_FIT;
    let text = fit.set.to_toml("Written by a test.");
    let again = InkSet::parse(&text, "written").unwrap_or_else(|error| panic!("{error}")).set;
    assert_eq!(again, fit.set);
    let [own, other] =
        [&fit.set, &again].map(|set| PrintModel::new(set, &set.substrates[0]).unwrap());
    let coverages = [0.1, 0.35, 0.6, 0.05].map(|c| Coverage::from_fraction(c).unwrap());
    assert_eq!(own.xyz(&coverages), other.xyz(&coverages));
}

/// TR 006 with its rows or columns changed.
fn changed(row: impl Fn(&[&str]) -> Option<Vec<String>>, columns: &str) -> String {
    let (head, rest) = TR006.split_once("BEGIN_DATA\n").unwrap();
    let rows: Vec<String> = rest
        .lines()
        .take_while(|line| !line.starts_with("END_DATA"))
        .filter_map(|line| row(&line.split_whitespace().collect::<Vec<_>>()))
        .map(|cells| cells.join("\t"))
        .collect();
    let old = "SAMPLE_ID  CMYK_C CMYK_M CMYK_Y CMYK_K XYZ_X XYZ_Y XYZ_Z LAB_L LAB_A LAB_B";
    let old = if head.contains(old) { old } else { &old.replace("  ", " ") };
    assert!(head.contains(old));
    let head = head
        .replace(old, columns)
        .replace("NUMBER_OF_FIELDS   11", "")
        .replace("NUMBER_OF_SETS    1617", &format!("NUMBER_OF_SETS {}", rows.len()));
    format!("{head}BEGIN_DATA\n{}\nEND_DATA\n", rows.join("\n"))
}

fn owned(cells: &[&str]) -> Vec<String> {
    cells.iter().map(|cell| (*cell).to_owned()).collect()
}

#[test]
fn cielab_alone_serves_as_well() {
    let columns = "SAMPLE_ID CMYK_C CMYK_M CMYK_Y CMYK_K LAB_L LAB_A LAB_B";
    let text = changed(|cells| Some(owned(&[&cells[..5], &cells[8..]].concat())), columns);
    let fit = fitted(&read(&text, &SampleNames::Labels), &[]);
    within(plain(&fit).fitted, PLAIN[0], PLAIN[1]);
    within(kept(&fit).fitted, CELLULAR[0], CELLULAR[1]);
}

#[test]
fn a_chart_within_a_coverage_limit_is_fitted_with_predicted_overprints() {
    let columns = "SAMPLE_ID CMYK_C CMYK_M CMYK_Y CMYK_K XYZ_X XYZ_Y XYZ_Z LAB_L LAB_A LAB_B";
    let within_limit = |cells: &[&str]| {
        let total: f64 = cells[1..5].iter().map(|cell| cell.parse::<f64>().unwrap()).sum();
        (total <= 240.0).then(|| owned(cells))
    };
    let fit = fitted(&read(&changed(within_limit, columns), &SampleNames::Labels), &[]);
    assert_eq!(plain(&fit).measured_primaries, 11);
    assert_eq!(plain(&fit).estimated_primaries.len() + plain(&fit).predicted_primaries.len(), 5);
    within(plain(&fit).left_out.unwrap(), PLAIN[0], PLAIN[1]);
    within(kept(&fit).left_out.unwrap(), CELLULAR[0], CELLULAR[1]);
}

/// Each interior step of the ramp is predicted from the others within this mean ΔE00.
const RAMP_MEAN: f64 = 1.0;

#[test]
fn the_spot_ramp_is_predicted_step_by_step_from_its_other_steps() {
    let names = SampleNames::StepsOf { ink: "teal".to_owned() };
    let chart = read(SPOT_RAMP, &names);
    let fit = fitted(&chart, &[]);
    assert_eq!((fit.patches, fit.bands), (15, MixedBands::Spectral));
    let left_out = kept(&fit).left_out.unwrap();
    assert_eq!(left_out.patches, 13);
    assert!(left_out.mean <= RAMP_MEAN, "{left_out:?}");
    // Colours that the instrument wrote beside its spectra agree with what is summed here.
    let paper = chart.patches[0].measurement.xyz().to_lab(Illuminant::D50.white());
    assert!(delta_e_00(paper, colour::Lab { l: 85.46, a: 1.38, b: 5.97 }) < 0.1);
}
