use charts::SampleNames;
use colour::{Illuminant, Spectrum, delta_e_00};
use inkfathom_print_model::{Fit, PrintModel};
use inkset::{DeviceCurve, EffectiveValues, RampLaw};
use units::{Coverage, DeviceValue};

use super::invented_print::{Dice, FACTOR, chart, effective, mixture, patches, printed};
use super::{fitted, plain, read};

const INKS: [&str; 7] = ["cyan", "magenta", "yellow", "black", "orange", "green", "violet"];

/// What the chart fixes of a factor of 1.8: noise of 0.3 % leaves this much open.
const FACTOR_OPEN: f64 = 0.15;
/// The wanted mean ΔE00 of patches that the fit never saw.
const HELD_OUT_MEAN: f64 = 0.5;

/// Mean ΔE00 between a fit and the truth on mixtures that no chart held.
fn held_out(fit: &Fit) -> f64 {
    let model = PrintModel::new(&fit.set, &fit.set.substrates[0]).unwrap();
    let mut dice = Dice(0x1234_5678_9abc_def1);
    let white = Illuminant::D50.white();
    let differences: Vec<f64> = (0..300)
        .map(|_| {
            let device = mixture(&mut dice);
            let coverages: Vec<Coverage> = device
                .iter()
                .map(|&v| DeviceCurve::Unknown.coverage(DeviceValue::from_fraction(v).unwrap()))
                .collect();
            let truth = Illuminant::D50.tristimulus(&Spectrum::new(printed(&device)).unwrap());
            delta_e_00(model.xyz(&coverages).to_lab(white), truth.to_lab(white))
        })
        .collect();
    differences.iter().sum::<f64>() / differences.len() as f64
}

#[track_caller]
fn fit_of(films: u32, mixtures: usize) -> Fit {
    let mut dice = Dice(0x9e37_79b9_7f4a_7c15);
    let patches = patches(films, mixtures, &mut dice);
    let text = chart(&patches, &mut dice);
    fitted(&read(&text, &SampleNames::Labels), &INKS)
}

#[track_caller]
fn factor_is_recovered(fit: &Fit) {
    let law = plain(fit).law;
    let is_near = matches!(law, RampLaw::YuleNielsen { n } | RampLaw::KubelkaMunk { n }
        if (n - FACTOR).abs() < FACTOR_OPEN);
    assert!(is_near, "{law:?}");
}

#[test]
fn hidden_parameters_are_recovered_from_a_chart_of_all_overprints() {
    let fit = fit_of(7, 400);
    factor_is_recovered(&fit);
    assert_eq!(plain(&fit).measured_primaries, 128);
    assert!(held_out(&fit) < HELD_OUT_MEAN, "{}", held_out(&fit));
    assert!(fit.suspects.is_empty(), "{:?}", fit.suspects);
    curves_are_recovered(&fit);
}

#[test]
fn overprints_that_the_chart_lacks_are_found_in_its_mixtures() {
    let fit = fit_of(2, 600);
    assert_eq!(plain(&fit).measured_primaries, 29);
    assert!(plain(&fit).estimated_primaries.len() > 20, "{:?}", plain(&fit));
    assert!(held_out(&fit) < HELD_OUT_MEAN, "{}", held_out(&fit));
}

/// Noise of 0.3 % in paper, tint and solid, and the share that all bands have in common.
const CURVE_OPEN: f64 = 0.02;

/// Effective coverages where the ink absorbs are those of the print.
fn curves_are_recovered(fit: &Fit) {
    for (ink, name) in INKS.iter().enumerate() {
        let curve = &fit.set.substrates[0].curves[*name];
        let EffectiveValues::PerBand(rows) = &curve.effective else { panic!("per band") };
        let solid = fit.set.inks[ink].solid_spectrum().unwrap().spectrum;
        let paper = fit.set.substrates[0].white;
        let darkest = (0..36)
            .min_by(|&a, &b| {
                let share = |band: usize| solid.bands()[band] / paper.bands()[band];
                share(a).total_cmp(&share(b))
            })
            .unwrap();
        for (coverage, row) in curve.coverages.iter().zip(rows) {
            let device =
                DeviceCurve::Unknown.device_value(Coverage::from_fraction(*coverage).unwrap());
            let truth = effective(ink, device.to_fraction(), darkest);
            assert!((row[darkest] - truth).abs() < CURVE_OPEN, "{name} {coverage}: {truth}");
        }
    }
}
