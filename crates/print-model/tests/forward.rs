//! Properties of the forward model on the built-in sets.

use approx::assert_abs_diff_eq;
use colour::{BANDS, Illuminant, Spectrum};
use inkfathom_print_model::{BandAmounts, PrintModel, demichel};
use inkset::{InkSet, MeasuredPrimary, MixedBands, RampLaw, builtin, builtin_names};
use proptest::prelude::*;
use units::{Coverage, EffectiveCoverage};

fn set(name: &str) -> InkSet {
    builtin(name).and_then(|built_in| built_in.parse().ok()).expect("a built-in set").set
}

fn model(set: &InkSet) -> PrintModel {
    PrintModel::new(set, &set.substrates[0]).expect("a print model")
}

fn coverages(values: &[f64]) -> Vec<Coverage> {
    values.iter().map(|&v| Coverage::from_fraction(v).expect("a coverage")).collect()
}

#[test]
fn bare_substrate_keeps_its_reflectance_and_is_media_white() {
    for name in builtin_names() {
        let set = set(name);
        let model = model(&set);
        let bare = model.spectrum(&vec![Coverage::MIN; model.channels()]);
        assert_spectra_agree(&bare, &set.substrates[0].white);
        let white = model.lab(&bare);
        assert_abs_diff_eq!(white.l, 100.0, epsilon = 1e-9);
        assert_abs_diff_eq!(white.chroma(), 0.0, epsilon = 1e-9);
    }
}

#[test]
fn a_solid_printed_alone_keeps_its_reflectance() {
    let set = set("eleven");
    let model = model(&set);
    for family in 0..model.families() {
        for &channel in model.family_channels(family) {
            let mut values = vec![0.0; model.channels()];
            values[channel] = 1.0;
            assert_spectra_agree(&model.spectrum(&coverages(&values)), model.solid(channel));
        }
    }
}

#[test]
fn an_idle_black_prints_nothing() {
    let set = set("five");
    let model = model(&set);
    let matte = set.inks.iter().position(|ink| ink.name == "matte black").unwrap();
    let mut values = vec![0.0; model.channels()];
    values[matte] = 1.0;
    assert_spectra_agree(&model.spectrum(&coverages(&values)), model.paper());
}

#[test]
fn a_light_ink_of_a_third_has_a_third_of_the_density() {
    let set = set("nine");
    let substrate = &set.substrates[0];
    let model = model(&set);
    let place = |name: &str| set.inks.iter().position(|ink| ink.name == name).unwrap();
    let surface = substrate.surface_reflectance.to_unit();
    let density = |channel: usize, band: usize| {
        let inside = |spectrum: &Spectrum| spectrum.bands()[band] - surface;
        -(inside(model.solid(channel)) / inside(&substrate.white)).log10()
    };
    for band in 0..BANDS {
        let (full, light) =
            (density(place("magenta"), band), density(place("light magenta"), band));
        assert_abs_diff_eq!(light, 0.33 * full, epsilon = 1e-9);
    }
}

#[test]
fn a_kubelka_munk_ramp_is_linear_in_its_ratio() {
    let mut set = set("five");
    set.substrates[0].ramp_law = RampLaw::KubelkaMunk { n: 2.0 };
    let model = model(&set);
    let ratio = |r: f64, paper: f64| {
        let darkest = set.substrates[0].darkest_reflectance.to_unit();
        let inner = (r - darkest) / (paper - darkest);
        (1.0 - inner).powi(2) / (2.0 * inner)
    };
    let at = |coverage: f64| {
        let mut values = vec![0.0; model.channels()];
        values[0] = coverage;
        let spectrum = model.spectrum(&coverages(&values));
        ratio(spectrum.bands()[25], model.paper().bands()[25])
    };
    assert_abs_diff_eq!(at(0.5), 0.5 * at(1.0), epsilon = 1e-6 * at(1.0));
}

/// `five` with measured patches of half-printed cyan and magenta, a little darker than predicted.
fn cellular() -> InkSet {
    let mut set = set("five");
    let plain = model(&set);
    let substrate = &mut set.substrates[0];
    for (cyan, magenta) in [(0.5, 0.0), (0.5, 1.0), (0.0, 0.5), (1.0, 0.5), (0.5, 0.5)] {
        let predicted = plain.spectrum(&coverages(&[cyan, magenta, 0.0, 0.0, 0.0]));
        let amounts = [("cyan", cyan), ("magenta", magenta)];
        substrate.primaries.push(MeasuredPrimary {
            amounts: amounts
                .iter()
                .filter(|(_, amount)| *amount > 0.0)
                .map(|(name, amount)| ((*name).to_owned(), coverages(&[*amount])[0]))
                .collect(),
            spectrum: Spectrum::new(predicted.bands().map(|r| 0.97 * r)).expect("a spectrum"),
        });
    }
    set
}

#[test]
fn a_patch_measured_at_partial_amounts_keeps_its_reflectance() {
    let set = cellular();
    let model = model(&set);
    for patch in &set.substrates[0].primaries {
        let amount = |name: &str| patch.amounts.get(name).map_or(0.0, |a| a.to_fraction());
        let printed = coverages(&[amount("cyan"), amount("magenta"), 0.0, 0.0, 0.0]);
        assert_spectra_agree(&model.spectrum(&printed), &patch.spectrum);
    }
}

#[test]
fn slopes_of_cells_agree_with_differences() {
    let model = model(&cellular());
    let step = 1e-6;
    for amounts in [[0.2, 0.7, 0.3, 0.1], [0.9, 0.3, 0.0, 0.6], [0.4, 0.1, 1.0, 0.0]] {
        let tints = |amounts: &[f64; 4]| -> Vec<BandAmounts> {
            (0..4).map(|f| BandAmounts::from_bands([amounts[f]; BANDS])).collect()
        };
        let here = model.mixture(&tints(&amounts), &mut Vec::new());
        for family in 0..4 {
            let mut moved = amounts;
            moved[family] += step;
            let there = model.mixture(&tints(&moved), &mut Vec::new());
            for band in 0..BANDS {
                let slope = (there.reflectance[band] - here.reflectance[band]) / step;
                assert_abs_diff_eq!(here.slopes[family][band], slope, epsilon = 1e-5);
            }
        }
    }
}

#[test]
fn too_many_different_amounts_are_refused_with_their_number() {
    let mut set = set("eleven");
    let families: Vec<String> =
        set.families(&set.substrates[0]).iter().map(|family| family.name.to_owned()).collect();
    let spectrum = set.substrates[0].white;
    for percent in 1..=6 {
        let amounts =
            families.iter().map(|f| (f.clone(), coverages(&[f64::from(percent) / 10.0])[0]));
        let amounts = amounts.collect();
        set.substrates[0].primaries.push(MeasuredPrimary { amounts, spectrum });
    }
    let message = PrintModel::new(&set, &set.substrates[0]).err().expect("a refusal").to_string();
    assert!(message.contains("outside 2 to 40000; keep fewer"), "{message}");
}

#[test]
fn tristimulus_values_mix_like_bands_and_spectra_stand_in_for_them() {
    let mut set = set("five");
    set.substrates[0].mixed_bands = MixedBands::Tristimulus;
    let model = model(&set);
    let printed = coverages(&[0.3, 0.6, 0.2, 0.1, 0.0]);
    let xyz = model.xyz(&printed);
    let standing_in = Illuminant::D50.tristimulus(&model.spectrum(&printed));
    for (mixed, stood_in) in
        [(xyz.x, standing_in.x), (xyz.y, standing_in.y), (xyz.z, standing_in.z)]
    {
        assert_abs_diff_eq!(mixed, stood_in, epsilon = 1e-6);
    }
    // One ink alone at half its coverage lies half-way in the square root of each value (n = 2).
    let [paper, solid, half] =
        [0.0, 1.0, 0.5].map(|cyan| model.xyz(&coverages(&[cyan, 0.0, 0.0, 0.0, 0.0])).y.sqrt());
    assert_abs_diff_eq!(half, 0.5 * (paper + solid), epsilon = 1e-9);
}

proptest! {
    #[test]
    fn more_ink_never_reflects_more(
        low in proptest::collection::vec(0.0..1.0_f64, 11), channel in 0_usize..11, more in 0.0..1.0_f64,
    ) {
        let set = set("eleven");
        let model = model(&set);
        let mut high = low.clone();
        high[channel] += more * (1.0 - high[channel]);
        let luminance = |values: &[f64]| Illuminant::D50.tristimulus(&model.spectrum(&coverages(values))).y;
        prop_assert!(luminance(&high) <= luminance(&low) + 1e-9);
    }

    #[test]
    fn folding_equals_demichel_weights(amounts in proptest::collection::vec(0.0..1.0_f64, 4)) {
        let set = set("five");
        let model = model(&set);
        let tints: Vec<BandAmounts> = (0..4)
            .map(|family| model.tint(family, &coverages(&amounts[family..=family])))
            .collect();
        let mixed = model.mixture(&tints, &mut Vec::new());
        let effective: Vec<EffectiveCoverage> =
            amounts.iter().map(|&a| EffectiveCoverage::from_fraction(a).unwrap()).collect();
        let weights = demichel::weights(&effective);
        // Each overprint by itself, from the model at full amounts.
        let overprints: Vec<Spectrum> = (0..16)
            .map(|index: usize| {
                let mut values = vec![0.0; model.channels()];
                for family in 0..4 {
                    values[model.family_channels(family)[0]] = f64::from(u8::from(index >> family & 1 == 1));
                }
                model.spectrum(&coverages(&values))
            })
            .collect();
        for band in 0..BANDS {
            let root: f64 = weights.iter().zip(&overprints).map(|(w, p)| w * p.bands()[band].sqrt()).sum();
            prop_assert!((mixed.reflectance[band] - root * root).abs() < 1e-9);
        }
    }

    #[test]
    fn slopes_agree_with_differences(amounts in proptest::collection::vec(0.05..0.95_f64, 4)) {
        let set = set("five");
        let model = model(&set);
        let tints = |amounts: &[f64]| -> Vec<BandAmounts> {
            amounts.iter().map(|&a| BandAmounts::from_bands([a; BANDS])).collect()
        };
        let mixed = |amounts: &[f64]| model.mixture(&tints(amounts), &mut Vec::new());
        let here = mixed(&amounts);
        let step = 1e-6;
        for family in 0..4 {
            let mut there = amounts.clone();
            there[family] += step;
            let there = mixed(&there);
            for band in 0..BANDS {
                let slope = (there.reflectance[band] - here.reflectance[band]) / step;
                prop_assert!((slope - here.slopes[family][band]).abs() < 1e-4);
            }
        }
    }
}

fn assert_spectra_agree(one: &Spectrum, other: &Spectrum) {
    for (a, b) in one.bands().iter().zip(other.bands()) {
        assert_abs_diff_eq!(a, b, epsilon = 1e-9);
    }
}
